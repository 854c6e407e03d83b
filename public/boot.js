// Starts the app: loads the wasm, registers the service worker, and speaks up when either cannot go on.
//
// There are two bundles: the phone's, which works offline, and the desk's, which needs the server anyway. The address
// decides. The packer puts the hashed addresses in place of the five names below. What the app and this script say to each
// other goes over window events:
//   setdown-update-waiting  (from here)  a newer build is on the phone and waits for consent
//   setdown-use-new-build   (from app)   the person agreed: switch, then load again
//   setdown-build-changed   (from here)  another tab agreed; this one still runs its old build
//   setdown-stopped         (from app)   the app panicked

const atDesk = location.pathname === "/office" || location.pathname.startsWith("/office/");
const [scriptAddress, wasmAddress] = atDesk
  ? ["__DESK_SCRIPT__", "__DESK_WASM__"]
  : ["__APP_SCRIPT__", "__APP_WASM__"];

// Where the app finds the worker that works out the way in.
window.setdownSolverWorker = "__SOLVER_WORKER__";

/** Shows a plain text above whatever is on the screen. */
function say(title, text) {
  const root = document.getElementById("app") || document.body;
  const box = document.createElement("section");
  box.className = "notice stopped";
  box.setAttribute("role", "alert");
  const heading = document.createElement("h1");
  heading.textContent = title;
  const paragraph = document.createElement("p");
  paragraph.textContent = text;
  const again = document.createElement("button");
  again.className = "button primary";
  again.textContent = "Load again";
  again.addEventListener("click", () => location.reload());
  box.append(heading, paragraph, again);
  root.prepend(box);
}

let stopped = false;
window.addEventListener("setdown-stopped", () => {
  if (stopped) return;
  stopped = true;
  say("Setdown stopped", "This screen hit a fault. Everything marked as saved is still on this phone. Load the page again to go on.");
});

let consented = false;

/** Tells the app that a build waits; the mark on the window is for an app that starts later than the event. */
function announce() {
  window.setdownUpdateWaiting = true;
  window.dispatchEvent(new Event("setdown-update-waiting"));
}

async function registerWorker() {
  if (!("serviceWorker" in navigator)) return;
  const workers = navigator.serviceWorker;
  const hadController = Boolean(workers.controller);
  workers.addEventListener("controllerchange", () => {
    if (consented) {
      location.reload();
    } else if (hadController) {
      window.dispatchEvent(new Event("setdown-build-changed"));
    }
  });
  const registration = await workers.register("/service-worker.js", { scope: "/", updateViaCache: "none" });
  const watch = (worker) => {
    if (!worker) return;
    worker.addEventListener("statechange", () => {
      if (worker.state === "installed" && workers.controller) announce();
    });
  };
  if (registration.waiting && workers.controller) announce();
  watch(registration.installing);
  registration.addEventListener("updatefound", () => watch(registration.installing));
  window.addEventListener("setdown-use-new-build", () => {
    if (!registration.waiting) return;
    consented = true;
    registration.waiting.postMessage({ type: "use-new-build" });
  });
  const look = () => registration.update().catch(() => {});
  window.addEventListener("online", look);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") look();
  });
}

registerWorker().catch((error) => console.warn("offline use could not be set up", error));

try {
  const wasm = fetch(wasmAddress);
  wasm.catch(() => {}); // Whoever waits for it below hears of it.
  const { default: start } = await import(scriptAddress);
  await start({ module_or_path: wasm });
} catch (error) {
  console.error(error);
  if (!stopped) {
    stopped = true;
    say(
      "Setdown could not start",
      atDesk
        ? "The office needs the server, and it could not be reached. Nothing was lost. Load the page again when you are connected; if it still does not start, update the browser. (" + error + ")"
        : "Nothing on this phone was lost. Load the page again; if it still does not start, update the browser. (" + error + ")",
    );
  }
}
