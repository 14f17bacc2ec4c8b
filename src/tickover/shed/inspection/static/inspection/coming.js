// The places still to come are kept on this phone once a round, so that a round goes on where the network ends.
(() => {
  const coming = document.querySelector("[data-coming]");
  if (!coming || !("serviceWorker" in navigator)) return;
  const round = `coming ${coming.dataset.round}`;
  if (sessionStorage.getItem(round)) return;
  navigator.serviceWorker.ready.then(({ active }) => {
    for (const place of coming.dataset.coming.split(" ").filter(Boolean)) active.postMessage({ keep: new URL(place, location).href });
    sessionStorage.setItem(round, "kept");
  });
})();
