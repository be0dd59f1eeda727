package dashboard

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"pawl/rules"
)

// outlines say how every state of a page is built at every size.
const outlines = "../testdata/outlines/"

const (
	watchRegions = "#said, #basis, #beam, #line, #card, #arrival, #tide, #notices, #squeeze, #elements, #drowsy"
	coachRegions = "#said, #basis, #beam, #line, #card, #arrival, #tide, #notices, #no-card, #ledger, #findings, #tell, #notes, #order"
)

// outline is how what is in sight is built, as a line of text: the regions from top to
// bottom in each column, those under the edge of the screen in brackets, then the foot.
// What lies over something else, is cut off or stands outside is named behind it.
func outline(regions string) string {
	return strings.Replace(outlineScript, "REGIONS", regions, 1)
}

const outlineScript = `(() => {
	const seen = selector => [...document.querySelectorAll(selector)].filter(e => e.checkVisibility()).map(e => ({e, r: e.getBoundingClientRect()})).filter(o => o.r.width > 1 && o.r.height > 1);
	const wide = innerWidth, foot = document.querySelector("footer").getBoundingClientRect();
	const regions = seen("REGIONS");
	const fixed = e => { for (; e; e = e.parentElement) if (["fixed", "sticky"].includes(getComputedStyle(e).position)) return true; return false; };
	const columns = {all: [], left: [], middle: [], right: []}, wrong = [];
	for (const o of regions.sort((a, b) => a.r.top - b.r.top)) {
		const at = (o.r.left + o.r.width / 2) / wide;
		const column = o.r.width > 0.75 * wide ? "all" : at < 0.36 ? "left" : at < 0.64 ? "middle" : "right";
		columns[column].push(o.r.top >= foot.top - 8 ? "(" + o.e.id + ")" : o.e.id);
		if (o.r.left < -1 || o.r.right > wide + 1) wrong.push(o.e.id + " stands outside");
	}
	const apart = [...regions, ...seen("main button:not(.term), main summary")];
	for (const a of apart) for (const b of apart) {
		if (a === b || a.e.contains(b.e) || b.e.contains(a.e) || fixed(a.e) !== fixed(b.e)) continue;
		if (Math.min(a.r.right, b.r.right) - Math.max(a.r.left, b.r.left) > 1 && Math.min(a.r.bottom, b.r.bottom) - Math.max(a.r.top, b.r.top) > 1) wrong.push((a.e.id || a.e.tagName) + " over " + (b.e.id || b.e.tagName));
	}
	for (const o of seen("button, h2, summary, #lead, #rest, #since, #card-act, #card-then, #beam em"))
		if (!o.e.matches(".term") && !o.e.closest("#segment") && getComputedStyle(o.e).display !== "inline" && o.e.scrollWidth > o.e.clientWidth + 1) wrong.push((o.e.id || o.e.textContent) + " is cut off");
	for (const n of seen("#beam .total")) for (const o of seen("#beam em")) {
		const words = document.createRange();
		words.selectNodeContents(o.e);
		if ([...words.getClientRects()].some(r => r.left < n.r.right && n.r.left < r.right)) wrong.push("the notch runs through " + o.e.textContent);
	}
	const pressed = seen("footer button, footer summary").filter(o => !o.e.closest("nav")).map(o => o.e.id);
	return [...Object.entries(columns).filter(([, list]) => list.length).map(([name, list]) => (name === "all" ? "" : name + ": ") + list.join(" ")), "foot: " + pressed.join(" "), ...new Set(wrong)].join(" | ");
})()`

// TestOutlines holds every state at every size, in both languages, to how it was built when
// somebody last looked at it: by its structure, not by its pixels. After a change that is
// meant, go test ./dashboard -run Outlines -update, and read the difference.
func TestOutlines(t *testing.T) {
	t.Parallel()
	var got strings.Builder
	got.WriteString("# What the operator's page has in sight, from top to bottom in each column, by state and size;\n# in brackets what is under the edge of the screen. Written by go test ./dashboard -run Outlines -update.\n")
	english, spanish := newPageTest(t, calmStory()), newOutlinesInSpanish(t)
	for i, st := range stories() {
		if st.name == "stopped" || st.name == "focus" || st.name == "gone" {
			continue // of the page's life and of its keyboard, which other tests look at
		}
		fmt.Fprintf(&got, "\n%s\n", st.name)
		st = renumbered(st, i)
		english.become(st)
		es := inSpanish(renumbered(storyOf(t, st.name), i))
		es.now.House = st.now.House // as long a name
		spanish.become(es)
		for _, screen := range screens {
			writeOutline(&got, english, spanish, st.name, screen, watchRegions)
		}
	}
	holdOutlines(t, "watch.txt", got.String())
}

// TestCoachOutlines does the same for the coach's page.
func TestCoachOutlines(t *testing.T) {
	t.Parallel()
	var got strings.Builder
	got.WriteString("# What the coach's page has in sight, as in watch.txt. Written by go test ./dashboard -run Outlines -update.\n")
	for _, st := range coachStories() {
		t.Run(st.name, func(t *testing.T) { // whose end closes the pages: all of them at once are a slow browser
			fmt.Fprintf(&got, "\n%s\n", st.name)
			english := newCoachIn(t, "en", st)
			spanish := english
			if slices.Contains([]string{"coach-card", "coach-holding", "coach-order", "coach-long"}, st.name) { // those with most words
				spanish = newCoachIn(t, "es", st)
			}
			for _, screen := range coachScreens {
				writeOutline(&got, english, spanish, st.name, screen, coachRegions)
			}
		})
	}
	holdOutlines(t, "coach.txt", got.String())
}

func newCoachIn(t *testing.T, language string, st coachStory) pageTest {
	t.Helper()
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{Language: language})}
	t.Cleanup(p.server.tellCoach(st).stop)
	showCoach(t, p, st)
	return p
}

// writeOutline adds a state at a size, as the page in English has it. The one in Spanish
// must have the same, if further down, and nothing in either may lie over anything else. It may be
// the same page.
func writeOutline(to *strings.Builder, english, spanish pageTest, state string, screen screen, regions string) {
	english.Helper()
	say := func(p pageTest) string {
		p.do(chromedp.EmulateViewport(screen.width, screen.height), drawn)
		return p.text(outline(regions))
	}
	in := say(english)
	es := in
	if spanish.tab != english.tab {
		es = say(spanish)
	}
	fmt.Fprintf(to, "  %-8s %s\n", screen.name, in)
	if bare := strings.NewReplacer("(", "", ")", ""); bare.Replace(es) != bare.Replace(in) {
		english.Errorf("%s on the %s is built otherwise in Spanish:\n%s\n%s", state, screen.name, es, in)
	}
	if strings.Contains(in, " over ") || strings.Contains(in, "cut off") || strings.Contains(in, "outside") || strings.Contains(in, "runs through") {
		english.Errorf("%s on the %s: %s", state, screen.name, in)
	}
}

// holdOutlines compares what was written with what is kept, or keeps it.
func holdOutlines(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.MkdirAll(outlines, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(outlines+file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(outlines + file)
	if err != nil {
		t.Fatal(err)
	}
	old, now := strings.Split(string(want), "\n"), strings.Split(got, "\n")
	for i := range max(len(old), len(now)) {
		a, b := "", ""
		if i < len(old) {
			a = old[i]
		}
		if i < len(now) {
			b = now[i]
		}
		if a != b {
			t.Errorf("line %d was\n%s\nand is\n%s", i+1, a, b)
		}
	}
}

// newOutlinesInSpanish is a page of a house where Spanish is spoken.
func newOutlinesInSpanish(t *testing.T) pageTest {
	t.Helper()
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{Language: "es"})}
	p.story = p.server.tell(inSpanish(calmStory()))
	t.Cleanup(p.story.stop)
	p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()))
	p.waitFor(`document.documentElement.lang === "es" && document.getElementById("time").textContent === "19:32"`)
	return p
}

func storyOf(t *testing.T, name string) story {
	t.Helper()
	for _, st := range stories() {
		if st.name == name {
			return st
		}
	}
	t.Fatal("no story " + name)
	return story{}
}

// renumbered gives a story's finding a number of its own, so that the page takes it for
// another than the last, and a minute of its own, by which it is known to be shown.
func renumbered(st story, i int) story {
	other := func(f *rules.Finding) { f.Number, f.N = 50+i, uint64(3000+10*i) }
	if st.now.Card != nil {
		st.now.Card = again(st.now.Card, other)
	}
	if st.now.Line != nil {
		st.now.Line = again(st.now.Line, other)
	}
	if st.now.House != "" && len(st.now.House) < 20 {
		st.now.House = fmt.Sprintf("Hall %d", i)
	}
	return st
}

// become shows another story on the same page, and does what it says.
func (p pageTest) become(st story) {
	p.Helper()
	p.do(chromedp.EmulateViewport(1180, 820))
	p.story.change(st.now)
	p.waitFor(fmt.Sprintf(`document.getElementById("house").textContent.includes(%q)`, st.now.House))
	switch st.then {
	case "open":
		p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("card-summary").click()`))
		p.waitFor(`document.getElementById("card-behind").open`)
	case "more":
		p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("line-more").click()`))
		p.waitFor(`!document.getElementById("card-place").hidden`)
	}
	p.do(chromedp.Evaluate[chromedp.Void](`Promise.all(document.getAnimations().map(a => a.finished)).then(() => 0)`, chromedp.EvalAwaitPromise))
}
