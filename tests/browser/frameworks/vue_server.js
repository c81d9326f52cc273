import { renderToString } from "vue/server-renderer";
import { page } from "./vue_page.js";

renderToString(page(JSON.parse(process.argv[2]))).then((html) => process.stdout.write(html));
