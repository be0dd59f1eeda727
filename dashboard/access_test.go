package dashboard

import (
	"context"
	"fmt"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestStatesAreSound: in each state, on a small phone and at twice the size of a tablet
// (WCAG 2.2, 1.4.10 and 1.4.4), nothing runs off sideways, what is pressed is large enough,
// the headings skip no level and the landmarks are there once; and a card is in sight.
func TestStatesAreSound(t *testing.T) {
	p := newPageTest(t, calmStory())
	for _, st := range []story{ratchetStory("ratchet", ""), whisperStory(), quietStory(), faultsStory(), manyStory(), longStory(), waitingStory(), nowStory()} {
		p.story.change(st.now)
		p.waitFor(fmt.Sprintf(`document.getElementById("time").textContent === %q && document.body.classList.contains("carded") === %v`, st.clock(), st.now.Card != nil))
		for _, screen := range [][2]int64{{320, 640}, {590, 410}} {
			p.do(chromedp.EmulateViewport(screen[0], screen[1]))
			p.waitFor(fmt.Sprintf(`innerWidth === %d`, screen[0]))
			checkFits(t, p.tab)
			p.checkTargets()
			wrong := p.text(`(() => {
				const seen = (what) => [...document.querySelectorAll(what)].filter(e => e.checkVisibility()), wrong = [];
				for (const one of ["h1", "main", "footer"]) if (seen(one).length !== 1) wrong.push(seen(one).length + " " + one);
				let level = 1;
				for (const h of seen("h1, h2, h3, h4")) { if (+h.tagName[1] > level + 1) wrong.push("skipped to " + h.tagName); level = +h.tagName[1]; }
				const foot = document.querySelector("footer").getBoundingClientRect().top;
				for (const e of seen("#card-act, #seen")) if (e.getBoundingClientRect().bottom > foot) wrong.push(e.id + " is out of sight");
				return wrong.join(", "); })()`)
			if wrong != "" {
				t.Errorf("%s at %dx%d: %s", st.name, screen[0], screen[1], wrong)
			}
		}
	}
}

// TestTabGoesThroughEverything: with the keyboard alone each thing to press has the focus
// once, in the order of the document, and shows it.
func TestTabGoesThroughEverything(t *testing.T) {
	p := newPageTest(t, ratchetStory("", ""))
	p.waitFor(`!document.getElementById("mark").disabled`)
	want := p.text(`[...document.querySelectorAll("button, summary, a, select, [tabindex='0']")].filter(e => e.checkVisibility() && !e.disabled).map(e => e.id || e.textContent).join()`)
	got := ""
	for range 20 {
		p.key(kb.Tab)
		at := p.text(`(e => e === document.body ? "" : !e.matches(":focus-visible") || getComputedStyle(e).outlineStyle === "none" ? "unseen " + e.id : e.id || e.textContent)(document.activeElement)`)
		if at == "" {
			break
		}
		if got != "" {
			got += ","
		}
		got += at
	}
	if got != want {
		t.Errorf("Tab went to %s, want %s", got, want)
	}
	p.do(click("#pages-summary"))
	p.waitFor(`document.getElementById("pages").open`)
	p.key(kb.Escape)
	p.waitFor(`!document.getElementById("pages").open && document.activeElement.id === "pages-summary"`)
}

// seenIn emulates what a reader's system asks for, and looks at the operator's page and the
// coach's in it.
func seenIn(t *testing.T, name, value string, look func(p pageTest)) {
	t.Helper()
	asked := chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: name, Value: value}}})
		return err
	})
	p := newPageTest(t, ratchetStory("", ""))
	p.do(asked)
	look(p)
	c := newCoachTest(t, coachStoryOf(t, "coach-order"))
	c.do(asked)
	look(c)
}

// With the colours of the system, as whoever needs high contrast chooses them, all text is
// in them and what is drawn is still there: the beam's parts have an edge or a filling that
// is not the ground's, and the tide keeps a ground of its own.
func TestForcedColours(t *testing.T) {
	seenIn(t, "forced-colors", "active", func(p pageTest) {
		p.waitFor(`matchMedia("(forced-colors: active)").matches`)
		wrong := p.text(`(() => {
			const wrong = [], shows = e => e.checkVisibility() && e.getBoundingClientRect().width > 1;
			const made = (colour) => { const e = document.createElement("i"); e.style.color = colour; document.body.append(e); const is = getComputedStyle(e).color; e.remove(); return is; };
			const ground = made("Canvas"), clear = "rgba(0, 0, 0, 0)";
			for (const e of document.querySelectorAll("main *, footer *")) {
				if (!shows(e) || ![...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()) || e.closest("#tide-plot")) continue;
				let under = e;
				while (under && getComputedStyle(under).backgroundColor === clear) under = under.parentElement;
				if (getComputedStyle(e).color === (under ? getComputedStyle(under).backgroundColor : ground)) wrong.push("text as its ground: " + e.textContent);
			}
			for (const e of document.querySelectorAll("#beam .hands, #beam .stage, #beam .zero, .rail .holds")) {
				const s = getComputedStyle(e);
				if (shows(e) && [clear, ground].includes(s.backgroundColor) && (s.borderTopWidth === "0px" || s.borderTopColor === ground)) wrong.push("not to be seen: " + (e.id || e.className));
			}
			for (const e of document.querySelectorAll("button:not(.term)")) if (shows(e) && getComputedStyle(e).borderTopWidth === "0px" && getComputedStyle(e).textDecorationLine === "none") wrong.push("no edge: " + (e.id || e.textContent));
			return wrong.join("; "); })()`)
		if wrong != "" {
			t.Error(wrong)
		}
	})
}

// Nothing moves by itself for whoever asked for that.
func TestReducedMotion(t *testing.T) {
	seenIn(t, "prefers-reduced-motion", "reduce", func(p pageTest) {
		// What began before that was asked for has ended, and its last event is through.
		p.waitFor(`matchMedia("(prefers-reduced-motion: reduce)").matches && document.getAnimations().length === 0`)
		p.do(drawn, drawn)
		p.do(chromedp.Evaluate[chromedp.Void](`globalThis.moving = []; for (const kind of ["animationstart", "transitionrun"]) addEventListener(kind, e => moving.push(e.animationName ?? e.propertyName)); 0`))
		next := nowStory().now
		next.House = "Another hall"
		p.story.change(next)
		p.waitFor(`document.getElementById("house").textContent.includes("Another hall")`)
		p.do(drawn)
		if moving := p.text(`moving.join() + getComputedStyle(document.documentElement).scrollBehavior.replace("auto", "")`); moving != "" {
			t.Errorf("these move: %s", moving)
		}
	})
}
