// What of the shelf is kept on this machine: its pack, and the recordings that it was made of, by their label. A storage of its
// own: what a coach keeps of students has nothing to do with it.
//
// IndexedDB by hand: of a library these few lines would be all that is used.

/** Its name; remember.js deletes it with all else. */
const NAME = 'handpath-shelf';

const settled = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

/** One piece of work in a connection of its own, done when it is on the disk: nobody who deletes has to wait for it. */
async function within(mode, work) {
  const opening = indexedDB.open(NAME, 1);
  opening.onupgradeneeded = () => {
    opening.result.createObjectStore('pack');
    opening.result.createObjectStore('recordings');
  };
  const database = await settled(opening);
  try {
    const transaction = database.transaction(['pack', 'recordings'], mode);
    const done = new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error ?? new DOMException('', 'AbortError'));
    });
    const request = work(transaction.objectStore('pack'), transaction.objectStore('recordings'));
    await done;
    return request?.result;
  } finally {
    database.close();
  }
}

/** Keeps a pack (bytes) and recordings (`[label, bytes]`) with it. */
export const keepShelf = (bytes, recordings = []) =>
  within('readwrite', (pack, store) => {
    for (const [label, recording] of recordings) store.put(recording, label);
    return pack.put(bytes, 'pack');
  });

/** The pack that is kept; undefined where there is none. */
export const keptShelf = () => within('readonly', (pack) => pack.get('pack'));

/** The bytes of a recording; undefined where they were not kept. */
export const keptRecording = (label) => within('readonly', (_, store) => store.get(label));

/** Labels of the recordings that are kept. */
export const keptLabels = () => within('readonly', (_, store) => store.getAllKeys());

/** Takes it all away. */
export const dropShelf = () =>
  within('readwrite', (pack, store) => {
    store.clear();
    return pack.clear();
  });
