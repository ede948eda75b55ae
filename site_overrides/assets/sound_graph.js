/**
 * The graph that plays a mixture. It joins up what Python has worked out; nothing is reckoned here. Works in any audio context.
 *
 *     loop ─ curve ─ filter ─ level ─ let in ─┐
 *     whistle ─────── level ─ let in ─────────┼─ high pass ─ scale ─ volume ─ fade ─ limiter ─ ceiling ─ out
 *     room ────────── level ─ let in ─────────┘
 *
 * @typedef {import("./protocol.js").Recipe} Recipe
 * @typedef {import("./protocol.js").RecipeVoice} RecipeVoice
 * @typedef {(loop: string) => AudioBuffer} Loops
 * @typedef {{ volume: number, calibrated: number | null, shut: Set<string> }} Settings  Steps by number; what is not let in by key.
 * @typedef {{ curve: number[], kernel: number[], into: AudioNode, cross: GainNode, end(): void }} Shape
 */

export class MixtureGraph {
  /** @type {Map<string, Strand>} */
  #strands = new Map();

  /**
   * @param {BaseAudioContext} context
   * @param {Recipe} recipe
   * @param {Loops} loops
   * @param {Settings} settings
   */
  constructor(context, recipe, loops, settings) {
    const { highpass, guard } = recipe;
    this.context = context;
    this.recipe = recipe;
    this.loops = loops;
    this.settings = settings;
    this.mix = new BiquadFilterNode(context, { type: "highpass", frequency: highpass.frequency, Q: highpass.q, channelCount: 1, channelCountMode: "explicit" });
    this.scale = gain(context, this.#scale().gain);
    this.volume = gain(context, this.#volume());
    this.fade = gain(context, 0);
    this.uncap = gain(context, this.#scale().uncap);
    this.cap = gain(context, this.#scale().cap);
    const limiter = new DynamicsCompressorNode(context, {
      threshold: guard.threshold, ratio: guard.ratio, knee: 0, attack: guard.attack, release: guard.release, channelCount: 1, channelCountMode: "explicit",
    });
    const ceiling = new WaveShaperNode(context, { curve: guard.ceiling });
    join(this.mix, this.scale, this.volume, this.fade, this.uncap, limiter, gain(context, guard.after), ceiling, this.cap, context.destination);
    this.#weave();
    this.fade.gain.setValueAtTime(0, context.currentTime);
    this.fade.gain.linearRampToValueAtTime(1, context.currentTime + recipe.times.fade);
  }

  /** Glides to another answer's mixture. @param {Recipe} recipe */
  update(recipe) {
    this.recipe = recipe;
    this.#weave();
    this.set(this.settings);
  }

  /** Glides to other settings. @param {Settings} settings */
  set(settings) {
    this.settings = settings;
    this.#glide(this.scale, this.#scale().gain);
    this.#glide(this.volume, this.#volume());
    this.#glide(this.uncap, this.#scale().uncap);
    this.#glide(this.cap, this.#scale().cap);
    for (const strand of this.#strands.values()) this.#glide(strand.letIn, settings.shut.has(strand.group) ? 0 : 1);
  }

  /** Fades out; what plays it may be closed when the promise is kept. */
  async stop() {
    this.fade.gain.cancelScheduledValues(this.context.currentTime);
    this.#glide(this.fade, 0);
    await wait(this.recipe.times.swap);
  }

  #scale() {
    const { calibrated, plain } = this.recipe;
    return this.settings.calibrated === null ? plain : calibrated[this.settings.calibrated];
  }

  #volume() {
    return this.settings.calibrated === null ? this.recipe.volumes[this.settings.volume] : 1;
  }

  /** Adds what is new in the recipe, ends what is gone, glides the rest. */
  #weave() {
    const { voices, whistles, room } = this.recipe;
    /** @type {Map<string, { gain: number, begin: () => Strand }>} */
    const wanted = new Map();
    for (const voice of voices) wanted.set(voice.key, { gain: voice.gain, begin: () => new VoiceStrand(this, voice) });
    for (const { key, group, gain: level, frequency } of whistles) {
      wanted.set(key, { gain: level, begin: () => new Strand(this, new OscillatorNode(this.context, { frequency }), group) });
    }
    if (room) wanted.set(`room ${room.loop}`, { gain: room.gain, begin: () => new Strand(this, this.player(room.loop), "room") });
    for (const [key, strand] of this.#strands) {
      const voice = voices.find((one) => one.key === key);
      const whistle = whistles.find((one) => one.key === key);
      if (wanted.has(key) && strand.follows(voice, whistle, this.recipe.times)) continue;
      this.#strands.delete(key);
      this.#end(strand);
    }
    for (const [key, { gain: level, begin }] of wanted) {
      const strand = this.#strands.get(key);
      if (strand) {
        this.#glide(strand.level, level);
        continue;
      }
      const fresh = begin();
      this.#strands.set(key, fresh);
      fresh.letIn.gain.value = this.settings.shut.has(fresh.group) ? 0 : 1;
      fresh.level.gain.value = 0;
      this.#glide(fresh.level, level);
      fresh.source.start();
    }
  }

  /** @param {string} loop */
  player(loop) {
    return new AudioBufferSourceNode(this.context, { buffer: this.loops(loop), loop: true });
  }

  /** @param {Strand} strand */
  async #end(strand) {
    this.#glide(strand.level, 0);
    await wait(this.recipe.times.swap);
    strand.source.stop();
    strand.letIn.disconnect();
  }

  /**
   * @param {GainNode} node
   * @param {number} value
   */
  #glide(node, value) {
    node.gain.setTargetAtTime(value, this.context.currentTime, this.recipe.times.glide);
  }
}

/** One sound of the mixture, with its level. */
class Strand {
  /**
   * @param {MixtureGraph} graph
   * @param {AudioScheduledSourceNode} source
   * @param {string} group  the key by which it is let in
   */
  constructor(graph, source, group) {
    this.source = source;
    this.group = group;
    this.level = gain(graph.context, 0);
    this.letIn = gain(graph.context, 1);
    join(source, this.level, this.letIn, graph.mix);
  }

  /**
   * Whether it can go on in another recipe; takes over from there what is more than a level.
   *
   * @param {RecipeVoice | undefined} _voice
   * @param {{ frequency: number } | undefined} whistle
   * @param {Recipe["times"]} times
   */
  follows(_voice, whistle, times) {
    if (whistle && this.source instanceof OscillatorNode) {
      this.source.frequency.setTargetAtTime(whistle.frequency, this.source.context.currentTime, times.glide);
    }
    return true;
  }
}

/** A station's programme, as the set bends and filters it. */
class VoiceStrand extends Strand {
  /** @type {Shape} */
  #shape;
  #swapping = false;
  /** @type {RecipeVoice} */
  #latest;

  /**
   * @param {MixtureGraph} graph
   * @param {RecipeVoice} voice
   */
  constructor(graph, voice) {
    const source = graph.player(voice.loop);
    super(graph, source, voice.key);
    source.disconnect();
    this.loop = voice.loop;
    this.#latest = voice;
    this.#shape = shape(graph.context, voice, 1);
    source.connect(this.#shape.into);
    this.#shape.cross.connect(this.level);
  }

  /**
   * @param {RecipeVoice | undefined} voice
   * @param {{ frequency: number } | undefined} _whistle
   * @param {Recipe["times"]} times
   */
  follows(voice, _whistle, times) {
    if (!voice || voice.loop !== this.loop) return false;
    this.#latest = voice;
    if (!this.#swapping) this.#swap(times);
    return true;
  }

  /** Crosses over to the latest curve and filter; what comes meanwhile waits. @param {Recipe["times"]} times */
  async #swap(times) {
    const voice = this.#latest, old = this.#shape, now = this.source.context.currentTime;
    if (alike(voice.curve, old.curve) && alike(voice.kernel, old.kernel)) return;
    this.#swapping = true;
    this.#shape = shape(this.source.context, voice, 0);
    this.source.connect(this.#shape.into);
    this.#shape.cross.connect(this.level);
    this.#shape.cross.gain.setTargetAtTime(1, now, times.glide);
    old.cross.gain.setTargetAtTime(0, now, times.glide);
    await wait(times.swap);
    this.source.disconnect(old.into);
    old.end();
    this.#swapping = false;
    if (this.#latest !== voice) this.#swap(times);
  }
}

/**
 * @param {BaseAudioContext} context
 * @param {RecipeVoice} voice
 * @param {number} open
 * @returns {Shape}
 */
function shape(context, { curve, kernel }, open) {
  const bend = new WaveShaperNode(context, { curve });
  const buffer = new AudioBuffer({ length: kernel.length, numberOfChannels: 1, sampleRate: context.sampleRate });
  buffer.copyToChannel(Float32Array.from(kernel), 0);
  const filter = new ConvolverNode(context, { buffer, disableNormalization: true, channelCount: 1, channelCountMode: "explicit" });
  const cross = gain(context, open);
  join(bend, filter, cross);
  return { curve, kernel, into: bend, cross, end: () => cross.disconnect() };
}

/**
 * @param {BaseAudioContext} context
 * @param {number} value
 */
function gain(context, value) {
  return new GainNode(context, { gain: value });
}

/** @param {...AudioNode} nodes */
function join(...nodes) {
  nodes.reduce((from, to) => from.connect(to));
}

/**
 * @param {number[]} some
 * @param {number[]} others
 */
function alike(some, others) {
  return some.length === others.length && some.every((value, index) => value === others[index]);
}

/** @param {number} seconds */
function wait(seconds) {
  return new Promise((resolve) => { setTimeout(resolve, seconds * 1000); });
}
