// Questions to the bench, and whether it answers at all.
export const link = { up: true };

let watcher = () => {};
export function watchLink(fn) { watcher = fn; }

function found(up) {
  if (link.up === up) { return; }
  link.up = up;
  watcher();
}
export function lost() { found(false); }

const PATIENCE = 8000; // a network that is gone may leave a question without any answer

// What the bench answers, read to its end; it fails where nothing comes.
export async function get(address, options) {
  const stop = new AbortController(), timer = setTimeout(() => stop.abort(), PATIENCE);
  try {
    const r = await fetch(address, { cache: "no-store", signal: stop.signal, ...options });
    const answer = { ok: r.ok, status: r.status, text: await r.text() };
    found(true);
    return answer;
  } catch (e) {
    lost();
    throw e;
  } finally {
    clearTimeout(timer);
  }
}

export function nonce() {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), x => x.toString(16).padStart(2, "0")).join("");
}
