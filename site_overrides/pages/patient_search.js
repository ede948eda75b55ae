/**
 * Put before the theme's search worker. That worker makes its index as soon as a page opens, just when Python starts. With this
 * it says at once that it is ready, and makes the index when the first question comes.
 */
{
  const SET_UP = 0;
  const READY = 1;
  const FOUND = 3;
  const listen = self.addEventListener.bind(self);
  const tell = self.postMessage.bind(self);
  /** The theme's own listener. @type {(event: MessageEvent) => Promise<void>} */
  let answer;
  /** What the index is made from. @type {MessageEvent | undefined} */
  let material;
  /** @type {Promise<void> | undefined} */
  let made;
  Object.assign(self, {
    addEventListener: (/** @type {string} */ _kind, /** @type {typeof answer} */ listener) => {
      answer = listener;
    },
    postMessage: (/** @type {{ type: number }} */ message) => message.type === READY || tell(message),
  });
  listen("message", async (/** @type {any} */ event) => {
    if (event.data.type === SET_UP) {
      material = event;
      tell({ type: READY });
    } else if (!made && !event.data.data) {
      tell({ type: FOUND, data: { items: [] } }); // as long as nothing is typed
    } else if (material) {
      made ??= answer(material);
      await made;
      await answer(event);
    }
  });
}
