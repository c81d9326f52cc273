import { page } from "./vue_page.js";

page(JSON.parse(document.getElementById("given").content)).mount("#root");
document.body.dataset.hydrated = "yes";
