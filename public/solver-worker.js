// Works out the way in beside the page, so that typing never waits for it.
//
// The packer puts the hashed addresses in place of the two names below. One worker answers one question; the page ends
// the worker to call it off. Messages in: {scene, resolution}, and where a limit is asked {largest: {longest,
// tailAtStart, headAtGoal, keeps}} with it. Messages out: {progress}, {certified}, {largest}, {fault}; all but the fault
// are JSON texts.

import start, { Work } from "__SOLVER_SCRIPT__";

const ready = start({ module_or_path: "__SOLVER_WASM__" });
ready.catch(() => {}); // Whoever waits for it below hears of it.

/** How long one step may last before the page hears of it, in milliseconds. */
const STEP = 80;
self.addEventListener("message", (event) => {
  answer(event.data).catch((error) => self.postMessage({ fault: String(error.message || error) }));
});

async function answer({ scene, resolution, largest }) {
  await ready;
  const work = Work.begin(scene, resolution);
  if (!largest) return solve(work);
  const { longest, tailAtStart, headAtGoal, keeps } = largest;
  self.postMessage({ largest: work.largest(longest, tailAtStart, headAtGoal, keeps) });
}

/** Steps until the answer is there; each step's size follows from how long the last one took. */
async function solve(work) {
  let splits = 50;
  for (;;) {
    const before = performance.now();
    const progress = work.step(splits);
    self.postMessage({ progress });
    if (JSON.parse(progress).done) break;
    const took = performance.now() - before;
    splits = Math.min(5000, Math.max(20, Math.round((splits * STEP) / Math.max(took, 1))));
    await new Promise((go) => setTimeout(go, 0));
  }
  self.postMessage({ certified: work.finish() });
}
