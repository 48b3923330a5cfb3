// The worker: it starts the engine and hands messages on. Orders that come before it has
// started wait. What it is sent first is the engine, compiled or as packed text; of the latter it
// gives the compiled one back.
(function () {
  const waiting = [];
  self.onmessage = function (e) {
    if (e.data instanceof WebAssembly.Module) return start(e.data);
    if (e.data.packed) {
      WebAssembly.compile(fzstd.decompress(unpacked(e.data.packed))).then(function (module) {
        self.postMessage(module);
        start(module);
      }, function (err) { self.postMessage({ failed: err.message }); });
      return;
    }
    waiting.push(e.data);
    if (self.take) give();
  };
  function start(module) {
    const go = new Go();
    WebAssembly.instantiate(module, go.importObject).then(function (instance) { go.run(instance); });
    const started = setInterval(function () {
      if (!self.take) return;
      clearInterval(started);
      give();
    }, 5);
  }
  function give() { waiting.splice(0).forEach(function (text) { self.take(text); }); } // the oldest first
})();
