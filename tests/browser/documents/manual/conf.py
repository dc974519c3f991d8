project = "The turntable"
language = "en"
html_static_path = ["_static"]
html_js_files = ["pulsewright-embed.js"]
html_extra_path = ["extra"]
