// Starts the page, in the packed file and under `trunk serve` alike.
// The syntax is old on purpose: a browser too old for the page must still read this and say so.
(function () {
    "use strict";

    // What went wrong since the page was opened; the browser tests expect it to stay empty.
    var errors = [];
    window.pulsewright_errors = errors;

    function tell(message) {
        var note = document.createElement("p");
        note.className = "failure";
        note.setAttribute("role", "alert");
        note.textContent = message;
        document.body.insertBefore(note, document.body.firstChild);
    }

    window.addEventListener("error", function (event) {
        errors.push(String(event.message));
        if (window.WebAssembly && event.error instanceof WebAssembly.RuntimeError) {
            tell("The page has stopped because of a mistake in its program. Reload it to go on.");
        }
    });
    window.addEventListener("unhandledrejection", function (event) {
        errors.push(String(event.reason));
    });
    document.addEventListener("securitypolicyviolation", function (event) {
        errors.push("refused by the page's own policy: " + event.violatedDirective + " " + event.blockedURI);
    });

    // A packed link, `#pwz1;` and zlib as base64url, becomes the plain one before the page reads it; the browser
    // has what packs and unpacks.
    function unpackedLink(hash) {
        var letters = /^(?:#|%(?:25){0,2}23)pwz1(?:;|%(?:25){0,2}3B)([\w-]+)/i.exec(hash);
        if (!letters || !window.DecompressionStream) {
            return Promise.resolve("");
        }
        return Promise.resolve().then(function () {
            var bytes = Uint8Array.from(atob(letters[1].replace(/-/g, "+").replace(/_/g, "/")), function (letter) {
                return letter.charCodeAt(0);
            });
            return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"))).text();
        }).then(function (text) {
            return text.slice(0, 4) === "#pw1" ? text : "";
        }).catch(function () {
            return "";
        });
    }

    function takePacked() {
        return unpackedLink(location.hash).then(function (text) {
            if (text) {
                history.replaceState(null, "", text);
            }
        });
    }

    window.addEventListener("hashchange", function (event) {
        if (event.isTrusted && /^(?:#|%(?:25){0,2}23)pwz1/i.test(location.hash)) {
            event.stopImmediatePropagation();
            takePacked().then(function () {
                window.dispatchEvent(new Event("hashchange"));
            });
        }
    });

    window.pulsewright_pack = function (text) {
        var stream = new Blob([text]).stream().pipeThrough(new CompressionStream("deflate"));
        return new Response(stream).arrayBuffer().then(function (packed) {
            var binary = String.fromCharCode.apply(null, new Uint8Array(packed));
            return "#pwz1;" + btoa(binary).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
        });
    };

    // Under `trunk serve` the program arrives by itself.
    if (!document.querySelector(".packed-style")) {
        window.addEventListener("TrunkApplicationStarted", function () {
            takePacked().then(window.wasmBindings.start);
        });
        return;
    }

    function missing() {
        var parts = [];
        if (!window.WebAssembly) {
            parts.push("WebAssembly");
        }
        if (!window.DecompressionStream) {
            parts.push("DecompressionStream");
        }
        return parts;
    }

    /* unpack */

    function packed(name) {
        var pieces = [];
        document.querySelectorAll("." + name).forEach(function (element) {
            pieces = pieces.concat(unpacked(element.textContent));
            element.remove();
        });
        return pieces;
    }

    // Written straight into what inflates: a detour through a blob or a buffer takes longer than the inflating.
    function inflated(pieces) {
        var stream = new DecompressionStream("gzip");
        var writer = stream.writable.getWriter();
        pieces.forEach(function (piece) { writer.write(piece).catch(ignore); });
        writer.close().catch(ignore);
        return new Response(stream.readable);
    }

    // A damaged file is told of by whoever reads.
    function ignore() {}

    // Compiled once it is whole: what compiles from a stream stands still for seconds now and then in Firefox.
    function compiled(pieces) {
        return inflated(pieces).arrayBuffer().then(function (program) {
            return WebAssembly.compile(program);
        });
    }

    function run(script) {
        var element = document.createElement("script");
        element.id = "glue";
        // The page's policy lists this very text by its hash.
        element.textContent = script;
        document.head.appendChild(element);
        if (typeof wasm_bindgen === "undefined") {
            throw new Error("this browser lacks the JavaScript of today");
        }
    }

    // The same program once more, beside the page: what it simulates there keeps nobody waiting here.
    function beside(glue, program) {
        window.pulsewright_worker = function () {
            var script = glue + "\nonmessage = function (event) {" +
                "if (event.data instanceof WebAssembly.Module) { wasm_bindgen.initSync({ module: event.data }); return; }" +
                "postMessage(wasm_bindgen[event.data[0]](event.data[1]));" +
            "};";
            var address = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
            var worker = new Worker(address);
            // Whoever asked it is told by a listener of its own, and goes on without it. A browser may tell of a fault
            // when nobody asks any more, in the midst of its end: that is none of the page's.
            worker.addEventListener("error", function (event) { event.preventDefault(); });
            worker.addEventListener("message", function () { URL.revokeObjectURL(address); }, { once: true });
            worker.postMessage(program);
            return worker;
        };
    }

    var lacking = missing();
    if (lacking.length > 0) {
        errors.push("this browser lacks " + lacking.join(", "));
        tell("Pulsewright cannot run in this browser, which lacks " + lacking.join(" and ") +
            ". Any current Firefox, Chromium, Safari or WebKit-based browser will do.");
        return;
    }

    // The page's policy lists this very text by its hash, too.
    function dress(style) {
        var element = document.createElement("style");
        element.textContent = style;
        document.head.appendChild(element);
    }

    // Whether the page will begin with its first example: nothing is asked for, and nothing of one's own is kept.
    function beginsWithExample() {
        if (location.hash || window.parent !== window) {
            return false;
        }
        try {
            return !Object.keys(localStorage).some(function (key) {
                return /^pulsewright\.(?:card|mine|manner)/.test(key);
            });
        } catch (refused) {
            return true;
        }
    }

    // A picture of what the program will show first can be read while the program is still being unpacked.
    function show(picture) {
        document.body.insertAdjacentHTML("afterbegin", picture);
        return new Promise(function (painted) {
            requestAnimationFrame(function () { setTimeout(painted); });
            // Behind other windows nothing is painted.
            setTimeout(painted, document.hidden ? 0 : 100);
        });
    }

    function takeAway() {
        var picture = document.getElementById("first-screen");
        if (picture) {
            picture.remove();
        }
    }

    function textOf(name) {
        return inflated(packed(name)).text();
    }

    // The program stands behind this script.
    var whole = new Promise(function (resolve) {
        document.addEventListener("DOMContentLoaded", resolve);
    });
    var example = beginsWithExample();
    var dressed = Promise.all([
        textOf("packed-style"),
        example ? textOf("packed-first-screen") : ""
    ]).then(function (parts) {
        dress(parts[0]);
        return parts[1] && show(parts[1]);
    });
    // Only the picture is waited for: unpacked beside it the program would keep it back.
    Promise.all([whole, example && dressed]).then(function () {
        return Promise.all([
            textOf("packed-glue"),
            compiled(packed("packed-program")),
            dressed
        ]);
    }).then(function (parts) {
        run(parts[0]);
        beside(parts[0], parts[1]);
        return wasm_bindgen({ module_or_path: parts[1] });
    }).then(takePacked).then(function () {
        takeAway();
        wasm_bindgen.start();
    }).catch(function (reason) {
        takeAway();
        errors.push(String(reason));
        tell("Pulsewright could not start: " + reason);
    });
}());
