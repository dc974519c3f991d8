// Keeps the served page for a workshop without a network. `cargo page` puts in the version and the SHA-256 of each
// file; a version is kept whole or not at all, and the page that is open stays with the version it began with.
"use strict";

const VERSION = "version";
const FILES = {};

async function fetched(name) {
    const response = await fetch(new Request(name, { cache: "reload" }));
    if (!response.ok) {
        throw new Error(name + ": " + response.status);
    }
    const bytes = await response.clone().arrayBuffer();
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
    if (btoa(String.fromCharCode(...digest)) !== FILES[name]) {
        // The server is between two versions; the browser tries again later.
        throw new Error(name + " is of another version");
    }
    return [name, response];
}

self.addEventListener("install", function (event) {
    event.waitUntil((async function () {
        const all = await Promise.all(Object.keys(FILES).map(fetched));
        const cache = await caches.open(VERSION);
        await Promise.all(all.map(([name, response]) => cache.put(name, response)));
    }()));
});

self.addEventListener("activate", function (event) {
    event.waitUntil((async function () {
        const names = await caches.keys();
        const former = names.filter((name) => name.startsWith("pulsewright-") && name !== VERSION);
        await Promise.all(former.map((name) => caches.delete(name)));
        await self.clients.claim();
    }()));
});

self.addEventListener("fetch", function (event) {
    const address = new URL(event.request.url);
    const base = new URL("./", self.location.href);
    if (event.request.method !== "GET" || !address.href.startsWith(base.href)) {
        return;
    }
    const name = address.pathname.slice(base.pathname.length) || "index.html";
    if (!Object.hasOwn(FILES, name)) {
        return;
    }
    event.respondWith((async function () {
        const cache = await caches.open(VERSION);
        return await cache.match(name) || fetch(event.request);
    }()));
});
