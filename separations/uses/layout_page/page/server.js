/** Requests to the server of this page, each with the key that the page's address carries. */

/** What the server would not do, in a sentence. */
export class Refused extends Error {
  /** @param {string} sentence @param {number} status */
  constructor(sentence, status) {
    super(sentence);
    this.status = status;
  }
}

const KEY = location.hash.slice(1);
const HEADERS = { "x-topsheet-token": KEY };

/** @param {Response} answer @returns {Promise<Response>} */
async function judged(answer) {
  if (answer.status === 204) throw new Refused("", 204); // a newer text is there
  if (answer.ok) return answer;
  const told = await answer.text();
  let sentence = told;
  try {
    sentence = JSON.parse(told).sentence ?? told;
  } catch {
    // words of the guard are plain text
  }
  throw new Refused(sentence, answer.status);
}

/**
 * @param {string} path
 * @param {AbortSignal} [signal]
 * @returns {Promise<Response>}
 */
export async function got(path, signal) {
  return judged(await fetch(path, { headers: HEADERS, ...(signal ? { signal } : {}) }));
}

/** @param {string} path @param {AbortSignal} [signal] @returns {Promise<any>} */
export async function asked(path, signal) {
  return (await got(path, signal)).json();
}

/** @param {string} path @param {object} message @returns {Promise<any>} */
export async function posted(path, message) {
  const answer = await fetch(path, {
    method: "POST",
    headers: { ...HEADERS, "content-type": "application/json" },
    body: JSON.stringify(message),
  });
  return (await judged(answer)).json();
}

/**
 * Hand over a file.
 * @param {File} file
 * @returns {Promise<any>}
 */
export async function handedOver(file) {
  const answer = await fetch(`/api/files?name=${encodeURIComponent(file.name)}`, {
    method: "POST", headers: HEADERS, body: file,
  });
  return (await judged(answer)).json();
}

/**
 * A picture, with its size and where it lies on the board. Its pixels come as plain memory: a
 * browser keeps what comes as a blob, or as a coded picture, for long after its last use.
 * @param {string} path
 * @param {AbortSignal} [signal]
 * @returns {Promise<{bitmap: ImageBitmap, place: any}>}
 */
export async function picture(path, signal) {
  const answer = await got(path, signal);
  const place = JSON.parse(answer.headers.get("x-place") ?? "null");
  const pixels = new Uint8ClampedArray(await answer.arrayBuffer());
  return { bitmap: await createImageBitmap(new ImageData(pixels, place.columns, place.rows)), place };
}

/**
 * Listen to the server's news until the page goes; a broken line is taken up again.
 * @param {(news: any) => void} hear
 * @param {(there: boolean) => void} tell  whether the server is there
 */
export function listen(hear, tell) {
  /** @type {AbortController | null} */
  let line = null;
  let wait = 300;
  const open = async () => {
    if (line || document.hidden) return;
    const mine = new AbortController();
    line = mine;
    try {
      const answer = await got("/api/news", mine.signal);
      const reader = answer.body?.pipeThrough(new TextDecoderStream()).getReader();
      tell(true);
      wait = 300;
      let rest = "";
      for (;;) {
        const { done, value } = (await reader?.read()) ?? { done: true, value: "" };
        if (done) break;
        const lines = (rest + value).split("\n");
        rest = lines.pop() ?? "";
        lines.filter(Boolean).forEach((one) => hear(JSON.parse(one)));
      }
      tell(false);
    } catch {
      if (!mine.signal.aborted) tell(false);
    }
    if (line === mine) line = null;
    if (!document.hidden) setTimeout(open, (wait = Math.min(wait * 1.6, 5000)));
  };
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) {
      line?.abort();
      line = null;
    } else void open();
  });
  void open();
}
