class DropHere extends HTMLElement {
    constructor() {
        super();
        const root = this.attachShadow({mode: 'open'});
        root.innerHTML = '<p>nothing yet</p><label>Hand <select><option>left</option><option>right</option></select></label>';
        root.addEventListener('dragover', event => event.preventDefault());
        root.addEventListener('drop', event => this.read(event));
        root.addEventListener('change', event => this.say(event.target.value));
    }

    async read(event) {
        event.preventDefault();
        const names = [];
        for (const file of event.dataTransfer.files) names.push(`${file.name}=${(await file.arrayBuffer()).byteLength}`);
        this.say(names.join(' '));
    }

    say(text) {
        this.shadowRoot.querySelector('p').textContent = text;
    }
}
customElements.define('drop-here', DropHere);
const pen = document.querySelector('#painted').getContext('2d');
pen.fillStyle = '#2468ac';
pen.fillRect(5, 5, 10, 10);
