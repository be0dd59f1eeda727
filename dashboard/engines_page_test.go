package dashboard

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"pawl/rules"
)

// other is the operator's page in another engine than Chromium, on one server that tells a story.
type other struct {
	*testing.T
	engine
	name    string
	server  serving
	story   teller
	presses chan rules.Press
}

// waitFor waits in the page itself until an expression holds.
func (o other) waitFor(expression string) {
	o.Helper()
	got := o.evaluate(fmt.Sprintf(`new Promise(done => {
		const until = Date.now() + 20000;
		const look = () => (%s) ? done("") : Date.now() > until ? done("never was: " + document.body.innerText.slice(0, 300)) : setTimeout(look, 20);
		look(); })`, expression))
	if got != "" {
		o.Fatalf("%s: %s", expression, got)
	}
}

// finger is an engine that presses as a hand does, and not by a script in the page.
type finger interface{ press(selector string) }

// click presses what the selector finds once nothing lies over it, and for a finger once it
// stands still, since that comes a little later.
func (o other) click(selector string) {
	o.Helper()
	hand, press := o.engine.(finger)
	o.waitFor(fmt.Sprintf(`((selector, hand) => {
		const it = document.querySelector(selector);
		if (!it) return false;
		it.scrollIntoView({block: "nearest"});
		const {x, y, width, height} = it.getBoundingClientRect(), place = [selector, x, y, width, height].join();
		const still = window.placeBefore === place;
		window.placeBefore = place;
		if (width === 0 || !it.contains(document.elementFromPoint(x + width / 2, y + height / 2))) return false;
		if (hand) return still;
		it.click();
		return true;
	})(%q, %t)`, selector, press))
	if press {
		hand.press(selector)
	}
}

// looksRight holds what is seen to what a screen must be: nothing wider than it, and none of the
// page's parts, nor of what may be pressed, over another.
func (o other) looksRight(state string) {
	o.Helper()
	wrong := o.evaluate(`(() => {
		const wrong = [];
		if (document.documentElement.scrollWidth > innerWidth) wrong.push("wider than the screen");
		for (const list of ["#verdict, #line, #tide, #arrival, #card-place, #quiet, footer", "footer > *:not(:empty), button"]) {
			const seen = [...document.querySelectorAll(list)].filter(e => e.checkVisibility()).map(e => [e, e.getBoundingClientRect()]).filter(([, r]) => r.width > 1 && r.height > 1);
			for (const [a, p] of seen) for (const [b, q] of seen) {
				if (a === b || a.contains(b) || b.contains(a) || getComputedStyle(a).position === "sticky" || getComputedStyle(b).position === "sticky") continue;
				if (Math.min(p.right, q.right) - Math.max(p.left, q.left) > 1 && Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > 1) wrong.push((a.id || a.tagName) + " over " + (b.id || b.tagName));
			}
		}
		if (document.querySelector("footer").getBoundingClientRect().height > 90) wrong.push("the foot has a second line");
		if (!document.fonts.check("20px Pawl")) wrong.push("the type is not loaded");
		return wrong.join(", ");
	})()`)
	if wrong != "" {
		o.Errorf("%s in %s: %s", state, o.name, wrong)
	}
	if *storiesDir != "" {
		// What comes gently has come, and the screen has it.
		o.evaluate(`Promise.allSettled(document.getAnimations().map(a => a.finished)).then(() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done))))`)
		if err := os.WriteFile(filepath.Join(*storiesDir, o.name+"-"+state+".png"), o.screenshot(), 0o644); err != nil {
			o.Fatal(err)
		}
	}
}

// TestEngines looks at the main states of the operator's page, and presses what is on it, in
// engines other than Chromium.
func TestEngines(t *testing.T) {
	for name, begin := range engines {
		t.Run(name, func(t *testing.T) {
			e := begin(t)
			o := other{T: t, engine: e, name: name, presses: make(chan rules.Press, 16)}
			o.server = serve(t, "127.0.0.1:0", Options{Press: func(p rules.Press) error { o.presses <- p; return nil }})
			calm := calmStory()
			o.story = o.server.tell(calm)
			o.open(o.server.url(), 1180, 820)
			o.waitFor(`document.querySelector("#tide canvas") && document.fonts.status === "loaded" && document.getElementById("time").textContent === "19:32"`)
			o.looksRight("calm")
			o.states()
			o.pressed(calm)
			for _, wrong := range o.complaints() {
				t.Errorf("the browser complained: %s", wrong)
			}
			o.story.stop()
			o.server.stop()
			o.waitFor(`document.documentElement.classList.contains("old") && document.getElementById("line").dataset.tone === "old"`)
			o.looksRight("stopped")
		})
	}
}

// states shows one after another what the page may have to show.
func (o other) states() {
	o.Helper()
	for i, one := range []struct {
		of    story
		shown string
	}{
		{firstSecondsStory(), `document.getElementById("rise").hidden && document.getElementById("arrival").hidden`},
		{whisperStory(), `document.getElementById("line").dataset.tone === "whisper" && document.getElementById("line-more").checkVisibility()`},
		{ratchetStory("card", ""), `document.getElementById("card-act").textContent.startsWith("Bring the band DCA down")`},
		{longStory(), `document.getElementById("card-act").textContent.includes("Upright piano on the far side")`},
		{quietStory(), `document.documentElement.classList.contains("old")`},
		{fadersStory(), `document.getElementById("basis").textContent !== "" && document.getElementById("squeeze").hidden`},
		{waitingStory(), `document.getElementById("arrival").checkVisibility() && document.getElementById("tide").hidden`},
	} {
		now := one.of.now
		if now.Card != nil {
			now.Card = again(now.Card, func(f *rules.Finding) { f.Number, f.N = 20+i, uint64(2000+i) })
		}
		o.story.change(now)
		o.waitFor(one.shown)
		o.looksRight(one.of.name)
	}
}

// pressed presses all that there is to press.
func (o other) pressed(calm story) {
	o.Helper()
	wants := func(want rules.Press) {
		o.Helper()
		if got := <-o.presses; got != want {
			o.Errorf("the press sent %v, want %v", got, want)
		}
	}
	o.story.change(ratchetStory("", "").now)
	o.click("#card-summary")
	o.waitFor(`document.getElementById("card-behind").open && document.getElementById("card-evidence").checkVisibility()`)
	o.looksRight("opened")
	o.click("#seen")
	wants(rules.Press{Do: rules.Seen, Number: 3})
	o.story.change(calm.now)
	o.waitFor(`document.getElementById("line-said").textContent === "Taken off. If it grows it comes again."`)
	o.looksRight("seen")
	o.click("#line-back")
	wants(rules.Press{Do: rules.BringBack, Number: 3})
	o.story.change(ratchetStory("", "").now)
	o.click("#not-now")
	wants(rules.Press{Do: rules.NotNow, Number: 3})
	o.click("#segment")
	wants(rules.Press{Do: rules.NewSegment, Next: true})
	o.click("#mark")
	if o.evaluate(`document.getElementById("mark").textContent`) == "Press again to mark" {
		o.click("#mark")
	}
	wants(rules.Press{Do: rules.SetMark})
	o.click("#dim")
	o.waitFor(`document.documentElement.classList.contains("dim-1")`)
}
