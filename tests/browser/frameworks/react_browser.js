import { createElement } from "react";
import { hydrateRoot } from "react-dom/client";
import { Page } from "./react_page.js";

const given = JSON.parse(document.getElementById("given").content);
hydrateRoot(document.getElementById("root"), createElement(Page, given), { onRecoverableError: (error) => console.error(`hydration: ${error.message}`) });
document.body.dataset.hydrated = "yes";
