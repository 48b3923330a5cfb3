// The file works without this: it moves the focus to the heading of the new screen, goes
// back the way one came, and takes the digit keys as answers.
(function () {
  var title = document.title;
  function shown() { return document.querySelector('.stop:target') || document.getElementById('start'); }
  function arrive() {
    var heading = shown().querySelector('h2');
    document.title = heading.textContent + ' - ' + title;
    heading.focus({ preventScroll: true });
    window.scrollTo(0, 0);
  }
  // With the program in the file, a search goes on with the answers so far.
  function program(log) {
    var page = document.getElementById('program').textContent.replace(/<\\(\/script|!--)/g, '<$1');
    window.given = log;
    document.open();
    document.write(page);
    document.close();
  }
  document.addEventListener('click', function (e) {
    var on = e.target.closest && e.target.closest('[data-log]');
    if (on) program(on.getAttribute('data-log'));
  });
  var steps = 0;
  window.addEventListener('hashchange', arrive);
  document.addEventListener('click', function (e) {
    var link = e.target.closest && e.target.closest('a[href^="#"]');
    if (!link) return;
    if (link.hasAttribute('data-back') && steps > 0) {
      e.preventDefault();
      steps--;
      history.back();
    } else {
      steps++;
    }
  });
  document.addEventListener('keydown', function (e) {
    if (e.altKey || e.ctrlKey || e.metaKey || !/^[1-9]$/.test(e.key)) return;
    var answers = shown().querySelectorAll('.answers a');
    if (answers[e.key - 1]) answers[e.key - 1].click();
  });
  if (location.hash) arrive();
})();
