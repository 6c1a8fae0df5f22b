// The outbox on this device: operations in the order in which they were done, in IndexedDB, so that they outlive the page.
// An operation is waiting or refused. A record of its own says which page is sending, until when.
const lease = 20000; // longer than one request is waited for

const opened = new Promise((resolve, reject) => {
  const asked = indexedDB.open("axlestand", 1);
  asked.onupgradeneeded = () => {
    asked.result.createObjectStore("operations", { keyPath: "n", autoIncrement: true });
    asked.result.createObjectStore("sender");
  };
  asked.onsuccess = () => resolve(asked.result);
  asked.onerror = () => reject(asked.error);
  asked.onblocked = () => reject(new Error("blocked"));
});
opened.catch(() => {}); // who asks for it is told

// within runs f in a transaction and gives its result once all of it is on the disk.
async function within(store, mode, f) {
  const db = await opened;
  return new Promise((resolve, reject) => {
    const tx = db.transaction(store, mode, { durability: "strict" });
    let result;
    tx.oncomplete = () => resolve(result);
    tx.onabort = tx.onerror = () => reject(tx.error ?? new Error("not kept"));
    f(tx.objectStore(store), (value) => { result = value; });
  });
}

export const all = () => within("operations", "readonly", (s, give) => {
  const asked = s.getAll();
  asked.onsuccess = () => give(asked.result);
});

export const add = (operation) => within("operations", "readwrite", (s, give) => {
  const asked = s.add(operation);
  asked.onsuccess = () => give(asked.result);
});

export const put = (operation) => within("operations", "readwrite", (s) => s.put(operation));

export const remove = (n) => within("operations", "readwrite", (s) => s.delete(n));

// hold makes a page the one that sends, for a while, unless another one is. Web Locks would do, but not over plain http.
export const hold = (page) => within("sender", "readwrite", (s, give) => {
  const asked = s.get("now");
  asked.onsuccess = () => {
    const now = Date.now();
    const held = asked.result;
    // a clock that was set back must not keep a lease for ever
    const taken = held && held.page !== page && held.until > now && held.until <= now + lease;
    give(!taken);
    if (!taken) s.put({ page, until: now + lease }, "now");
  };
});

export const release = (page) => within("sender", "readwrite", (s) => {
  const asked = s.get("now");
  asked.onsuccess = () => { if (asked.result?.page === page) s.delete("now"); };
});
