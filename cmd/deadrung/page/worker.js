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
        give();
      }, 5);
      return;
    }
    waiting.push(e.data);
    if (self.take) give();
  };
  function give() { waiting.splice(0).forEach(function (text) { self.take(text); }); } // the oldest first
})();
