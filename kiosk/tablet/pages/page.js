// The page around the terminal: how large its letters are, where it connects, and what is said when it ends.
// terminal.js draws the terminal. It begins when the page has loaded, with what stands in the element's data.
"use strict";

(() => {
  const WANTED = { columns: 80, rows: 24 }; // on fewer, some keys have no target for a finger
  const LETTERS_PX = { least: 10, most: 60 };
  const FONT = "'Roboto Mono', monospace";
  const LOOK_AGAIN_MS = 3000;
  const SETTLE_MS = 400; // a tablet that is turned changes its size several times

  const box = document.getElementById("terminal");
  const openTerminal = window.onload;
  const canvas = document.createElement("canvas").getContext("2d");
  let wordsOfTheEnd = "";

  // The letters: as large as leaves room for the wanted columns and rows, unless a size was asked for.

  function room(px) {
    canvas.font = `${px}px ${FONT}`;
    const letter = canvas.measureText("W");
    const dots = window.devicePixelRatio; // a cell is a whole number of the screen's own dots
    const width = Math.floor(letter.width * dots) / dots;
    const height = Math.ceil((letter.fontBoundingBoxAscent + letter.fontBoundingBoxDescent) * dots) / dots;
    return { columns: Math.floor(box.clientWidth / width), rows: Math.floor(box.clientHeight / height) };
  }

  function lettersPx() {
    const asked = Number(box.dataset.lettersPx);
    if (asked) return asked;
    let px = LETTERS_PX.most;
    for (; px > LETTERS_PX.least; px -= 1) {
      const found = room(px);
      if (found.columns >= WANTED.columns && found.rows >= WANTED.rows) break;
    }
    return px;
  }

  // The name of this tab: the same after loading the page again, so that it finds its screen.

  function tabName() {
    let name = sessionStorage.getItem("kiosk-tab");
    if (!name) {
      const random = crypto.getRandomValues(new Uint8Array(16));
      name = Array.from(random, (byte) => byte.toString(16).padStart(2, "0")).join("");
      sessionStorage.setItem("kiosk-tab", name);
    }
    return name;
  }

  // What is said when the screen has ended, by the code with which its socket was closed (tabs.py).

  const ENDS = {
    4000: ["You left the kiosk", "What was done is saved, and so is your place."],
    4001: ["This screen was opened in another tab", "It is shown there now."],
    4002: ["Too many screens are open", "Close one on another tablet or in another tab, then open this one."],
    4003: ["The kiosk could not go on", "What was recorded is safe. It said:"],
    1008: ["This page and the kiosk did not understand each other", "Open it again."],
  };
  const UNREACHED = ["The kiosk cannot be reached", "This page looks for it every 3 seconds, and opens again."];

  function ended(code) {
    const [why, whatNow] = ENDS[code] || UNREACHED;
    document.getElementById("why").textContent = why;
    document.getElementById("what-now").textContent = whatNow;
    document.getElementById("words").textContent = wordsOfTheEnd;
    document.getElementById("ended").hidden = false;
    if (!(code in ENDS)) setTimeout(lookAgain, LOOK_AGAIN_MS);
  }

  async function lookAgain() {
    try {
      await fetch("/", { method: "HEAD", redirect: "manual", cache: "no-store" });
      location.reload();
    } catch {
      setTimeout(lookAgain, LOOK_AGAIN_MS);
    }
  }

  // The bell: the kiosk sends it by itself, as one byte. Browsers let a page sound once it was tapped.

  let sound = null;
  document.addEventListener("pointerdown", () => {
    sound = sound || new AudioContext();
    if (sound.state === "suspended") sound.resume();
  });

  function ring() {
    if (sound === null) return;
    for (const after of [0, 0.35, 0.7]) {
      const tone = sound.createOscillator();
      tone.frequency.value = 880;
      tone.connect(sound.destination);
      tone.start(sound.currentTime + after);
      tone.stop(sound.currentTime + after + 0.2);
    }
  }

  const LARGEST_MESSAGE = 64 * 1024; // bytes: the socket would be closed for a longer one

  // terminal.js opens the socket: one that also hears why it is closed, and the bell.

  window.WebSocket = class extends window.WebSocket {
    constructor(url) {
      super(url);
      this.addEventListener("close", (event) => ended(event.code));
      this.addEventListener("message", ({ data }) => {
        if (typeof data === "string") {
          const [kind, said] = JSON.parse(data);
          if (kind === "ended") wordsOfTheEnd = said;
        } else if (data.byteLength === 1 && new Uint8Array(data)[0] === 7) {
          ring();
        }
      });
    }

    send(data) {
      if (new Blob([data]).size > LARGEST_MESSAGE) return; // a paste that the kiosk would not take: server.py
      if (this.readyState === WebSocket.OPEN) super.send(data); // else nothing is there yet to be typed at
    }
  };
  window.open = () => null; // text that looks like a link leads nowhere

  window.onload = async (event) => {
    await document.fonts.load(`20px ${FONT}`); // measured before it is there, every cell would be wrong
    const px = lettersPx();
    box.dataset.fontSize = px;
    box.dataset.sessionWebsocketUrl = `${location.origin.replace(/^http/, "ws")}/screen/${tabName()}`;
    openTerminal.call(window, event);
    const keys = box.querySelector("textarea"); // what is typed comes in here
    keys.inputMode = "none"; // the kiosk has keys of its own for a finger: the tablet's stay down
    keys.focus(); // a real keyboard, a pedal and a scanner type without a tap before
    window.addEventListener("focus", () => keys.focus());
    const fit = window.onresize;
    let settled = 0;
    window.onresize = () => {
      if (fit) fit();
      clearTimeout(settled);
      settled = setTimeout(() => lettersPx() !== px && location.reload(), SETTLE_MS);
    };
  };

  document.getElementById("again").addEventListener("click", () => location.reload());
  document.addEventListener("contextmenu", (event) => event.preventDefault()); // of a finger held down
  window.addEventListener("pageshow", (event) => event.persisted && location.reload());
})();
