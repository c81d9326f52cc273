// Lets the figures of a fleet that is being quoted follow its work: asks again, and less often while nothing moves. Without it the page is fetched anew.
"use strict";
{
  const shown = document.getElementById("going");
  const LEAST = 2000;
  const MOST = 20000;
  let wait = LEAST;
  let before = shown.innerHTML;
  const look = async () => {
    try {
      const answer = await fetch(location.href, { credentials: "same-origin", redirect: "error" });
      if (!answer.ok) throw new Error(String(answer.status));
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const now = page.getElementById("going");
      if (!now) {
        location.reload(); // it is done: the page is another one
        return;
      }
      wait = now.innerHTML === before ? Math.min(1.5 * wait, MOST) : LEAST;
      before = now.innerHTML;
      shown.replaceChildren(...document.adoptNode(now).childNodes);
    } catch {
      wait = Math.min(2 * wait, MOST); // the network is gone, or the session: the link beside still fetches the page
    }
    setTimeout(look, wait);
  };
  setTimeout(look, wait);
}
