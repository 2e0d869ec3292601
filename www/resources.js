// The files that the modules need beside them. They are fetched, unless the page brings them along: a page in one file,
// opened from a disk, can fetch nothing.

let brought = { answers: {}, addresses: {} };

/** Takes files along, by their full address: `answers` gives the Response of one that modules read, `addresses` the
    address, without a host, of one that the browser loads itself (a style sheet, or a worker that is no module). */
export function bring(files) {
  brought = files;
}

/** Does the page bring its files along? */
export const brings = () => Object.keys(brought.answers).length > 0;

/** A file that modules read. */
export async function load(url) {
  const own = brought.answers[url];
  const answer = own ? await own() : await fetch(url);
  if (!answer.ok) throw new Error(`${answer.status} ${new URL(url).pathname}`);
  return answer;
}

/** The address of a style sheet. */
export function sheetAt(url) {
  return brought.addresses[url] ?? String(url);
}

/** A worker. */
export function workerAt(url) {
  const own = brought.addresses[url];
  return own ? new Worker(own) : new Worker(url, { type: 'module' });
}
