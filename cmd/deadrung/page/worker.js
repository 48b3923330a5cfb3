// The worker: it starts the engine and hands messages on. Orders that come before it has
// started wait.
(function () {
  const waiting = [];
  self.onmessage = function (e) {
    if (e.data instanceof WebAssembly.Module) {
      const go = new Go();
      WebAssembly.instantiate(e.data, go.importObject).then(function (instance) { go.run(instance); });
      const started = setInterval(function () {
        if (!self.take) return;
        clearInterval(started);
        waiting.splice(0).forEach(function (text) { self.take(text); });
      }, 5);
      return;
    }
    if (self.take) self.take(e.data); else waiting.push(e.data);
  };
})();
