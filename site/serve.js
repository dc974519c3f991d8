// Only in the page as it is served: keeps it for a workshop without a network.
if ("serviceWorker" in navigator && window.parent === window) {
    navigator.serviceWorker.register("worker.js");
}
