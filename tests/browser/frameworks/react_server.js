import { createElement } from "react";
import { renderToString } from "react-dom/server";
import { Page } from "./react_page.js";

process.stdout.write(renderToString(createElement(Page, JSON.parse(process.argv[2]))));
