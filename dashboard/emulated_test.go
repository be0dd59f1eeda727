package dashboard

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// emulate makes the browser say of its reader what it would of one who has set it so, and nothing else.
func (p pageTest) emulate(feature, value string) {
	p.Helper()
	p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: feature, Value: value}}})
		return err
	}))
	p.waitFor(fmt.Sprintf(`matchMedia("(%s: %s)").matches`, feature, value))
}

// pagesOf opens each page in its fullest state, and hands it over by its name.
func pagesOf(t *testing.T, look func(p pageTest, page string)) {
	t.Helper()
	watch := newPageTest(t, calmStory())
	for i, st := range []story{ratchetStory("loud", ""), manyStory(), quietStory(), apartStory()} {
		watch.become(renumbered(st, i))
		look(watch, "watch "+st.name)
	}
	// Each in a test of its own, whose end closes it.
	one := func(page string, open func(t *testing.T) pageTest) {
		t.Run(page, func(t *testing.T) { look(open(t), page) })
	}
	for _, name := range []string{"coach-card", "coach-order"} {
		one(name, func(t *testing.T) pageTest { return newCoachTest(t, coachStoryOf(t, name)) })
	}
	one("linecheck", func(t *testing.T) pageTest {
		line := underWay()
		line.play(7, -18, 4*time.Second)
		p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{LineCheck: line.lineCheck, Press: line.press})}
		p.do(chromedp.Navigate(p.server.url()+"linecheck"), lineShown)
		return p
	})
	one("setup", func(t *testing.T) pageTest {
		setup, h := newSetupTest(t, faultsSetup().setup)
		h.change(movePiano)
		setup.waitFor(`document.querySelector("#moved a") !== null`)
		return setup
	})
	one("review", func(t *testing.T) pageTest {
		return newReviewTest(t, "review", listShown, of(madeEvening, madeEvening)(t))
	})
	one("service", func(t *testing.T) pageTest {
		return newReviewTest(t, "review/1?finding=1", oneShown+` && document.getElementById("beside").options.length === 2`, of(madeEvening, madeEvening)(t))
	})
}

// TestEveryPage opens each page once, and looks at it as three readers would: one who asks for no
// motion, one whose system chooses the colours, and one who has the keyboard alone.
func TestEveryPage(t *testing.T) {
	t.Parallel()
	moves := map[string]bool{}
	pagesOf(t, func(p pageTest, page string) {
		moves[page] = p.checkReducedMotion(page)
		p.checkForcedColours(page)
		p.emulate("forced-colors", "none")
		p.checkTab(page)
	})
	for _, page := range []string{"watch loud", "linecheck", "setup"} { // or nothing was looked at
		if !moves[page] {
			t.Errorf("%s: nothing moves for anybody", page)
		}
	}
}

// unseenInForced lists what nobody could see where the system chooses the colours (WCAG 2.2,
// 1.4.3 and 1.4.11): words that have no contrast with what they stand on, and bars that have
// neither a face nor a rim that differs from what is around them.
const unseenInForced = `(() => {
	const wrong = [];
	const probe = document.body.appendChild(document.createElement("i"));
	probe.style.cssText = "forced-color-adjust: none; background: Canvas";
	const numbers = (colour) => { const [r, g, b, a = 1] = colour.match(/[\d.]+/g).map(Number); return { rgb: [r, g, b], a }; };
	const canvas = numbers(getComputedStyle(probe).backgroundColor).rgb;
	probe.remove();
	const light = (rgb) => rgb.map(v => v / 255).map(v => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)).reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
	const ratio = (a, b) => { const [x, y] = [light(a), light(b)]; return (Math.max(x, y) + 0.05) / (Math.min(x, y) + 0.05); };
	const name = (e) => e.id || (e.closest("[id]")?.id ?? "") + " " + e.tagName.toLowerCase() + "." + (e.className.baseVal ?? e.className);
	// What it stands on: whatever lies below it and is not see-through, at the middle of the
	// first letters, and at the corner of a bar, whose middle may lie over another.
	const ground = (e, own) => {
		const { left, top, width, height } = e.getBoundingClientRect();
		const stack = own ? document.elementsFromPoint(left + Math.min(width / 2, 12), top + height / 2) : document.elementsFromPoint(left + 1, top + 1);
		const from = stack.indexOf(e);
		const below = from < 0 ? [e] : stack.slice(from);
		if (from < 0) for (let a = e.parentElement; a; a = a.parentElement) below.push(a);
		for (const one of below.slice(own ? 0 : 1)) { const { rgb, a } = numbers(getComputedStyle(one).backgroundColor); if (a > 0.5) return rgb; }
		return canvas;
	};
	const filled = "#beam .hands, .rail .holds, #seconds [data-heard], #guide .now, .bead, .glow i"; // is told by its face alone
	const seen = (what) => [...document.querySelectorAll(what)].filter(e => e.checkVisibility({ visibilityProperty: true }) && e.getBoundingClientRect().width > 2 && e.getBoundingClientRect().height > 2);
	let words = 0, bars = 0, pictures = 0;
	for (const e of seen("main *, footer *")) {
		if (![...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()) || e.closest("select, :disabled, [aria-disabled=true]")) continue;
		words++;
		const by = ratio(numbers(getComputedStyle(e).color).rgb, ground(e, true));
		if (by < 4.5) wrong.push("words: " + name(e) + " " + by.toFixed(1));
	}
	for (const e of seen("#beam i:not(.within):not(.bed), .rail .holds, .rail .notch, #seconds i, #guide .now, #guide .band, .thread .bead, .thread .zero, .glow i, #order-list [data-now], #findings-open [data-state=on]")) {
		bars++;
		const style = getComputedStyle(e), on = ground(e, false);
		const face = numbers(style.backgroundColor);
		const rims = ["Top", "Left"].filter(side => parseFloat(style["border" + side + "Width"]) > 0 && numbers(style["border" + side + "Color"]).a > 0).map(side => numbers(style["border" + side + "Color"]).rgb);
		if (!(face.a > 0.5 && ratio(face.rgb, on) >= 3) && (e.matches(filled) || !rims.some(rim => ratio(rim, on) >= 3))) wrong.push("bar: " + name(e));
	}
	for (const e of seen(".curve path")) {
		bars++;
		if (ratio(numbers(getComputedStyle(e).stroke).rgb, ground(e, false)) < 3) wrong.push("curve: " + name(e));
	}
	// What is drawn on a canvas has the page's own colours, so it keeps its own ground too.
	for (const e of seen("#tide-plot, main canvas")) {
		pictures++;
		const ink = getComputedStyle(document.documentElement).getPropertyValue("--text").trim().match(/[0-9a-f]{2}/g).map(v => parseInt(v, 16));
		if (ratio(ink, ground(e, true)) < 4.5) wrong.push("picture: " + name(e));
	}
	if (words < 10 || bars < 2 && pictures < 1 && document.getElementById("service-list") === null) wrong.push("only " + words + " words, " + bars + " bars and " + pictures + " pictures were looked at");
	return [...new Set(wrong)].join("\n");
})()`

// checkForcedColours: where the system chooses the colours, all words and all bars are seen.
func (p pageTest) checkForcedColours(page string) {
	p.Helper()
	p.emulate("forced-colors", "active")
	if wrong := p.text(unseenInForced); wrong != "" {
		p.Errorf("%s: not to be seen:\n%s", page, wrong)
	}
	if *storiesDir != "" {
		shoot(p.T, p.tab, *storiesDir+"/forced-"+strings.ReplaceAll(strings.TrimSpace(page), " ", "-")+".png")
	}
}

// moving lists what would move by itself.
const moving = `[...document.querySelectorAll("*")].filter(e => { const s = getComputedStyle(e); return s.animationName !== "none" || /[1-9]/.test(s.transitionDuration) || s.scrollBehavior === "smooth"; })
	.map(e => e.id || e.className).concat(document.getAnimations().map(a => "animation of " + a.effect.target.id)).join()`

// checkReducedMotion: who asks for no motion sees none, also when a card comes. It tells whether
// anything moves for others.
func (p pageTest) checkReducedMotion(page string) (moves bool) {
	p.Helper()
	p.emulate("prefers-reduced-motion", "no-preference")
	moves = p.text(moving) != ""
	p.emulate("prefers-reduced-motion", "reduce")
	p.waitFor(`document.getAnimations().length === 0`) // what began before has ended
	if got := p.text(moving); got != "" {
		p.Errorf("%s: moves: %s", page, got)
	}
	return moves
}

// checkTab: with the keyboard alone each thing to press has the focus once, in the order of the
// document, and shows it.
func (p pageTest) checkTab(page string) {
	p.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](`document.activeElement.blur(); getSelection().removeAllRanges(); document.body.tabIndex = -1; document.body.focus(); document.body.removeAttribute("tabindex"); 0`))
	const called = `(e => e.id || e.getAttribute("href") || (e.closest("[id]")?.id ?? "") + " " + e.textContent.slice(0, 20))`
	want := p.text(`[...document.querySelectorAll("button, summary, a, select, input, [tabindex='0']")].filter(e => e.checkVisibility() && !e.disabled).map(` + called + `).join("\n")`)
	p.do(chromedp.Evaluate[chromedp.Void](`globalThis.focused = new Set(); 0`))
	var got []string
	for range strings.Count(want, "\n") + 10 { // the fields of a time of day are several
		p.key(kb.Tab)
		at := p.text(`(e => {
			if (e === document.body || focused.has(e) && e !== focused.last) return "";
			if (e === focused.last) return "within";
			focused.add(focused.last = e);
			return (!e.matches(":focus-visible") || getComputedStyle(e).outlineStyle === "none" ? "unseen " : "") + ` + called + `(e); })(document.activeElement)`)
		if at == "" { // and round again
			break
		}
		if at != "within" {
			got = append(got, at)
		}
	}
	if strings.Join(got, "\n") != want {
		p.Errorf("%s: Tab went to\n%s\nwant\n%s", page, strings.Join(got, "\n"), want)
	}
}

// TestEscapeClosesTheMenu, and the focus is where it was.
func TestEscapeClosesTheMenu(t *testing.T) {
	p := newPageTest(t, ratchetStory("", ""))
	p.do(click("#pages-summary"))
	p.waitFor(`document.getElementById("pages").open`)
	p.key(kb.Escape)
	p.waitFor(`!document.getElementById("pages").open && document.activeElement.id === "pages-summary"`)
}
