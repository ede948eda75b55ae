/** Marks the page when it is to show the form alone, for a frame on another page: before anything is painted. */
if (new URLSearchParams(location.search).get("bare") === "1") document.documentElement.classList.add("bp-bare");
