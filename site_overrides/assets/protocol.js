/**
 * What crosses between page, worker and Python: types only.
 *
 * @typedef {{ key: string, label: string, value: number | null, unit: string, text: string, how: string,
 *     uncertainty?: number, interval?: [number, number] }} Row
 * @typedef {{ key: string, label: string, unit: string }} Column
 * @typedef {{ value: number | string | null, text: string }} Cell
 * @typedef {{ key: string, title: string, columns: Column[], rows: Cell[][] }} Table
 * @typedef {{ value: number, text: string }} Tick
 * @typedef {{ label: string, least: number, most: number, log: boolean, ticks: Tick[] }} Axis
 * @typedef {{ key: string, label: string, x: number[], y: number[], texts: string[] }} Series
 * @typedef {{ label: string, x: number, y: number, emphasis: boolean }} Mark
 * @typedef {{ label: string, axis: "x" | "y", value: number }} Rule
 * @typedef {{ key: string, title: string, summary: string, x: Axis, y: Axis,
 *     series: Series[], marks: Mark[], rules: Rule[] }} Chart
 *
 * @typedef {{ label: string, note: string, emphasis: boolean, values: (number | null)[], texts: string[],
 *     spans: ([number, number] | null)[] }} Bar
 * @typedef {{ key: string, title: string, summary: string, axis: Axis, base: number, series: string[], bars: Bar[],
 *     rules: Rule[] }} Bars
 *
 * @typedef {{ key: string, title: string, summary: string, x: Axis, y: Axis, x_edges: number[], y_edges: number[],
 *     x_texts: string[], y_texts: string[], regions: string[], nowhere: string, cells: number[][],
 *     marks: Mark[] }} RegionMap  Rows of cells from the least y on; -1 is none of the regions.
 *
 * @typedef {"ink" | "thin" | "accent" | "ground"} Role
 * @typedef {{ shape: "line", points: [number, number][], role: Role, closed: boolean, filled: boolean,
 *     dashed: boolean }} LineShape
 * @typedef {{ shape: "circle", x: number, y: number, radius: number, role: Role, filled: boolean }} CircleShape
 * @typedef {{ shape: "arc", x: number, y: number, radius: number, start: number, end: number, role: Role }} ArcShape
 * @typedef {{ shape: "text", x: number, y: number, text: string, anchor: "start" | "middle" | "end", role: Role,
 *     size: number, turn?: number }} TextShape
 * @typedef {LineShape | CircleShape | ArcShape | TextShape} Shape
 * @typedef {{ key: string, title: string, description: string, box: [number, number, number, number],
 *     type_size: number, shapes: Shape[] }} Drawing
 *
 * @typedef {{ key: string, text: string, form: string, texts: Texts }} Onward  Another form, filled in.
 * @typedef {{ text: string, kind: "note" | "limit" | "caution" }} Advice
 * @typedef {{ key: string, label: string, plays: string, text: string }} SoundVoice
 * @typedef {{ key: string, title: string, summary: string, warning: string, sample_rate: number, voices: SoundVoice[],
 *     whistles: { text: string } | null, room: { label: string, text: string } | null,
 *     volumes: { texts: string[], first: number },
 *     calibration: { text: string, texts: string[],
 *         tone: { frequency: number, gains: number[], glide: number } } }} Sound
 * @typedef {{ key: string, loop: string, gain: number, curve: number[], kernel: number[] }} RecipeVoice
 * @typedef {{ gain: number, cap: number, uncap: number }} Scale
 * @typedef {{ key: string, sample_rate: number, voices: RecipeVoice[],
 *     whistles: { key: string, group: string, frequency: number, gain: number }[],
 *     room: { loop: string, gain: number } | null,
 *     highpass: { frequency: number, q: number },
 *     guard: { threshold: number, ratio: number, attack: number, release: number, after: number, ceiling: number[] },
 *     volumes: number[], plain: Scale, calibrated: (Scale & { text: string })[],
 *     times: { fade: number, glide: number, swap: number } }} Recipe  How to play a sound; times in seconds.
 *
 * @typedef {{ block: "words", heading: string, paragraphs: string[], kind: "note" | "caution" }} WordsBlock
 * @typedef {{ block: "grid", title: string, heads: string[], rows: string[][], shares: number[], numbers: number[],
 *     row_height: number }} GridBlock
 * @typedef {{ block: "picture", drawing: Drawing, true_size: boolean, width: number, height: number }} PictureBlock
 * @typedef {{ title: string, lead: string, paper: "a4" | "letter", turned: boolean,
 *     blocks: (WordsBlock | GridBlock | PictureBlock)[] }} Sheet  To be printed; lengths in millimetres of paper.
 *
 * @typedef {{ ok: true, sentence: string, rows: Row[], tables: Table[], charts: Chart[], bars: Bars[], maps: RegionMap[],
 *     sounds: Sound[], drawings: Drawing[], onward: Onward[], advice: Advice[], order: string[], stops: Record<string, number> }} Answer
 * @typedef {{ field: string, row: number, column: string }} BadCell
 * @typedef {{ ok: false, errors: Record<string, string>, cells: BadCell[] }} Refusal
 * @typedef {{ ok: true, rows: string[][] }} Cells
 *
 * @typedef {Record<string, string>} Texts  What stands in a form's fields, by name.
 *
 * @typedef {{ python: string, interpreter: string, manifest: string, lock: string, worker: string }} Urls  Where everything is.
 *
 * @typedef {{ kind: "prepare" }
 *     | { kind: "start", urls: Urls }
 *     | { kind: "run", id: number, form: string, texts: Texts }
 *     | { kind: "cells", id: number, form: string, field: string, text: string }
 *     | { kind: "sound", id: number, form: string, texts: Texts, key: string }
 *     | { kind: "sheet", id: number, form: string, texts: Texts, key: string }
 *     | { kind: "samples", id: number, key: string }} ToWorker
 *
 * @typedef {"fetching" | "starting"} Stage
 * @typedef {{ kind: "progress", stage: Stage, text: string, fraction: number }
 *     | { kind: "ready", versions: Record<string, string>, start: "snapshot" | "plain" }
 *     | { kind: "answering", id: number, fraction: number }
 *     | { kind: "result", id: number, json: string }
 *     | { kind: "samples", id: number, samples: ArrayBuffer }
 *     | { kind: "failed", id: number | null, message: string }} FromWorker
 */

export {};
