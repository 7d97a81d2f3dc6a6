// Tells how far an article is read, disc by disc, and goes on without a step of history for each.
(() => {
  let told = location.hash || "#1";
  let resting;
  const tell = () => {
    const number = Math.round(scrollY / innerHeight) + 1;
    if (told !== "#" + number) {
      told = "#" + number;
      history.replaceState(null, "", told);
      navigator.sendBeacon(location.pathname + "/place", new URLSearchParams({ disc: number }));
    }
  };
  addEventListener("scroll", () => {
    clearTimeout(resting);
    resting = setTimeout(tell, 500);
  }, { passive: true });
  addEventListener("pagehide", tell);
  document.addEventListener("visibilitychange", tell);
  document.addEventListener("click", (event) => {
    const onward = event.target.closest(".o");
    if (onward) {
      event.preventDefault();
      document.getElementById(onward.hash.slice(1)).scrollIntoView();
    }
  });
})();
