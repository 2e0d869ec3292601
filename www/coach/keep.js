// What of lessons is kept on this machine while they are worked on: the lesson with its recordings, and each entry of the log
// as it comes. What was acknowledged survives the end of the browser. Nothing of it leaves the machine.
//
// IndexedDB by hand: of a library these few lines would be all that is used.

const NAME = 'handpath';
const VERSION = 1;

/** How long storage may take to open: another window may hold an older one. */
const PATIENCE_MS = 4000;

let database;

/** The storage, opened once; one that was refused is asked for again the next time. */
function opened() {
  database ??= open().catch((fault) => {
    database = undefined;
    throw fault;
  });
  return database;
}

function open() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, VERSION);
    setTimeout(() => reject(new DOMException('', 'TimeoutError')), PATIENCE_MS);
    request.onerror = () => reject(request.error);
    request.onupgradeneeded = () => {
      request.result.createObjectStore('lessons', { keyPath: 'key' });
      request.result.createObjectStore('entries', { autoIncrement: true }).createIndex('key', 'key');
    };
    request.onsuccess = () => {
      const { result } = request;
      // Another window deletes everything: that waits for nobody.
      const leave = () => (database = undefined);
      result.onversionchange = () => leave() ?? result.close();
      result.onclose = leave;
      resolve(result);
    };
  });
}

/** One piece of work, done when it is on the disk. */
async function within(mode, work) {
  const transaction = (await opened()).transaction(['lessons', 'entries'], mode, { durability: 'strict' });
  const done = new Promise((resolve, reject) => {
    transaction.oncomplete = resolve;
    transaction.onabort = () => reject(transaction.error ?? new DOMException('', 'AbortError'));
  });
  // A fault of the work itself is the one that is told.
  done.catch(() => {});
  let request;
  try {
    request = work(transaction.objectStore('lessons'), transaction.objectStore('entries'));
  } catch (fault) {
    transaction.abort();
    throw fault;
  }
  await done;
  return request?.result;
}

const onlyOf = (key) => IDBKeyRange.only(key);

/** Takes away what stands of a lesson in the store of entries. */
function without(entries, key) {
  const cursor = entries.index('key').openCursor(onlyOf(key));
  cursor.onsuccess = () => {
    cursor.result?.delete();
    cursor.result?.continue();
  };
}

/** Keeps a lesson `{key, code, at, document, opened, recordings}` in place of what was kept under its key: its log is whole
    in the document. */
export function keepLesson(lesson) {
  return within('readwrite', (lessons, entries) => {
    without(entries, lesson.key);
    return lessons.put(lesson);
  });
}

/** Keeps one more entry of a lesson's log. */
export function keepEntry(key, entry) {
  return within('readwrite', (_, entries) => entries.add({ key, entry }));
}

/** What is kept, newest first: `[{key, code, at}]`. */
export async function kept() {
  const found = await within('readonly', (lessons) => lessons.getAll());
  return found.map(({ key, code, at }) => ({ key, code, at })).sort((a, b) => (a.at < b.at ? 1 : -1));
}

/** A lesson that is kept, with the entries that came after it was kept; undefined where there is none. */
export async function takeUp(key) {
  const lesson = await within('readonly', (lessons) => lessons.get(key));
  const found = await within('readonly', (_, entries) => entries.index('key').getAll(onlyOf(key)));
  return lesson && { ...lesson, entries: found.map(({ entry }) => entry) };
}

/** Takes a lesson away. */
export function putAway(key) {
  return within('readwrite', (lessons, entries) => {
    without(entries, key);
    return lessons.delete(key);
  });
}

/** A fault of storage in one word: "full" or "refused". */
export const whyOf = (fault) => (fault?.name === 'QuotaExceededError' ? 'full' : 'refused');

/** Asks that what is kept is not thrown away where room gets scarce; the browser may say no. */
export async function hold() {
  try {
    await navigator.storage?.persist?.();
  } catch {
    // It is kept all the same, as long as there is room.
  }
}
