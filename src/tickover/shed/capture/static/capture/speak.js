// Speak a remark: the microphone's sound goes into the form as the file that would be chosen. Two minutes at most.
// Browsers give the microphone only to pages that came safely (https, or this machine's own address); elsewhere the
// file control stays, and on a phone it opens the phone's own recorder.
if (!window.speaks && navigator.mediaDevices?.getUserMedia && window.MediaRecorder) {
  window.speaks = true; // the script may stand on a page twice
  const LONGEST = 120_000;
  for (const line of document.querySelectorAll(".speak")) {
    const [button, says] = line.children;
    const file = line.closest("form").elements.sound;
    const field = file.closest(".field");
    let recorder = null;

    const idle = (text) => {
      button.textContent = "Speak";
      button.setAttribute("aria-pressed", "false");
      says.replaceChildren(text);
      recorder = null;
    };

    const keep = (pieces, type) => {
      const kind = type.includes("ogg") ? "ogg" : type.includes("mp4") ? "m4a" : "webm";
      const files = new DataTransfer();
      files.items.add(new File(pieces, `spoken.${kind}`, { type }));
      file.files = files.files;
      const heard = Object.assign(document.createElement("audio"), { controls: true });
      heard.src = URL.createObjectURL(file.files[0]);
      heard.setAttribute("aria-label", "What was spoken");
      idle(heard);
      button.textContent = "Speak it again";
    };

    const begin = async () => {
      const sound = await navigator.mediaDevices.getUserMedia({ audio: true });
      const pieces = [];
      const began = Date.now();
      recorder = new MediaRecorder(sound, { audioBitsPerSecond: 32_000 });
      recorder.ondataavailable = ({ data }) => data.size && pieces.push(data);
      const clock = setInterval(() => {
        const seconds = Math.floor((Date.now() - began) / 1000);
        says.textContent = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")} of 2:00`;
        if (Date.now() - began >= LONGEST) recorder.stop();
      }, 250);
      recorder.onstop = () => {
        clearInterval(clock);
        for (const track of sound.getTracks()) track.stop();
        keep(pieces, recorder.mimeType);
      };
      recorder.start(1000);
      button.textContent = "Stop";
      button.setAttribute("aria-pressed", "true");
    };

    button.addEventListener("click", () => {
      if (recorder) return recorder.stop();
      begin().catch(() => {
        field.hidden = false;
        idle("The microphone is not given to this page; choose a sound instead, or type.");
      });
    });
    field.hidden = !field.classList.contains("has-wrong");
    line.hidden = false;
  }
}
