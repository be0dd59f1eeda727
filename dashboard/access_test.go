package dashboard

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestStatesAreSound: in each state, on a small phone and at twice the size of a tablet
// (WCAG 2.2, 1.4.10 and 1.4.4), nothing runs off sideways, what is pressed is large enough,
// the headings skip no level and the landmarks are there once; and a card is in sight.
func TestStatesAreSound(t *testing.T) {
	t.Parallel()
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
