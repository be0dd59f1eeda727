package dashboard

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// water evaluates an expression that may use what parts/water.js exports, as w, and
// at(rise, faders, t), a second.
func (p pageTest) water(expression string) string {
	p.Helper()
	script := fmt.Sprintf(`import(new URL("parts/water.js", document.querySelector("script[type=module]").src)).then(w => {
		const at = (rise, faders = rise, t = 0) => ({ t, rise_db: rise, split: { faders_db: faders, stage_db: rise === null ? null : rise - faders } });
		return JSON.stringify(%s); })`, expression)
	got, err := chromedp.Run(p.tab, chromedp.Evaluate[string](script, chromedp.EvalAwaitPromise))
	if err != nil {
		p.Fatal(err)
	}
	return got
}

func TestTideHeights(t *testing.T) {
	p := newPageTest(t, calmStory())
	for _, test := range []struct{ name, expression, want string }{
		{"nothing yet", `w.needed([])`, `[-3,9]`},
		{"silence has no height", `w.needed([at(null)])`, `[-3,9]`},
		{"a little either way", `w.needed([at(-2.5), at(8.5)])`, `[-3,9]`},
		{"further, in whole steps", `w.needed([at(-7.2), at(10)])`, `[-9,12]`},
		{"a part that the total hides", `w.needed([at(0, -8.1)])`, `[-9,9]`},
		{"to the bounds", `w.needed([at(-30), at(40)])`, `[-12,24]`},

		{"the first", `w.follow(null, [-3, 9])`, `[-3,9]`},
		{"grows at once", `w.follow([-3, 9], [-9, 12])`, `[-9,12]`},
		{"one step unused is kept", `w.follow([-9, 12], [-6, 9])`, `[-9,12]`},
		{"two steps unused are given back", `w.follow([-9, 15], [-3, 9])`, `[-3,9]`},
		{"each side by itself", `w.follow([-9, 9], [-3, 12])`, `[-3,12]`},

		{"three minutes at first", `w.wide([], 100) + " " + w.wide([at(0, 0, 0)], 180)`, `"3 3"`},
		{"then five, then ten", `w.wide([at(0, 0, 0)], 181) + " " + w.wide([at(0, 0, 0)], 301) + " " + w.wide([at(0, 0, 0)], 900)`, `"5 10 10"`},

		{"all in sight", `w.beyond([at(-12), at(24)], [-12, 24])`, `[]`},
		{"two falls and a rise", `w.beyond([at(-13, -13, 1), at(-25, -25, 2), at(0, 0, 3), at(30, 30, 4), at(-14, -14, 5)], [-12, 24])`,
			`[{"from":1,"to":2,"above":false,"far":-25},{"from":4,"to":4,"above":true,"far":30},{"from":5,"to":5,"above":false,"far":-14}]`},
		{"silence ends a stretch", `w.beyond([at(-13, -13, 1), at(null, null, 2), at(-13, -13, 3)], [-12, 24]).length`, `2`},
		{"a pause in hearing is a hole", `w.layers([at(1, 1, 1), at(1, 1, 2), at(2, 2, 9)]).filter((_, i) => i === 0 || i === 3)`,
			`[[1,2,3,9],[1,1,null,2]]`},
		{"a tint alone has no number", `w.beyond([at(0, -15, 1)], [-12, 24])`, `[{"from":1,"to":1,"above":false,"far":null}]`},
	} {
		if got := p.water(test.expression); got != test.want {
			t.Errorf("%s: got %s, want %s", test.name, got, test.want)
		}
	}
}

// The tide and its steps are those since the newest mark, of ten minutes, and a cue
// is no step. A mark that is taken back gives back the tide that it ended.
func TestTideRemembers(t *testing.T) {
	p := newPageTest(t, calmStory())
	got := p.text(`import(new URL("memory.js", document.querySelector("script[type=module]").src)).then(({ newMemory }) => {
		const memory = newMemory(), out = [];
		const take = (frame, t, ...entries) => {
			memory.take({ frame, now: { t }, entries: entries.map(([entry, t, kind]) => ({ entry, t, kind, back: kind === "back" })) });
			out.push([memory.seconds, memory.moves].map(list => list.map(e => e.t).join("+")).join(" "));
		};
		take("whole", 10, ["second", 8], ["move", 8.5, "raise"], ["move", 8.6, "bring-in"], ["second", 9]);
		take("beat", 10.1);
		take("beat", 11, ["move", 10.5, "lower"], ["link", 10.6], ["second", 11]);
		take("beat", 609, ["second", 609]);
		take("beat", 610, ["second", 609.5], ["mark", 609.6], ["second", 610], ["move", 610, "return"]);
		take("beat", 611, ["mark", 610.5], ["second", 611], ["move", 611, "raise"]);
		take("beat", 612, ["mark", 611.5, "back"], ["second", 612]);
		take("whole", 613, ["second", 612], ["mark", 612.1], ["mark", 612.2], ["mark", 612.3, "back"], ["second", 613]);
		take("beat", 613.1, ["house", 613], ["mark", 613.1, "back"]);
		take("whole", 614);
		return out.join("; "); })`)
	if want := "8+9 8.5; 8+9 8.5; 8+9+11 8.5+10.5; 9+11+609 10.5; 610 610; 611 611; 610+612 610+611; 613 ;  ;  "; got != want {
		t.Errorf("kept %q, want %q", got, want)
	}
}

// What falls below the picture is said at its edge, not cut off in silence.
func TestTideSaysWhatIsBeyond(t *testing.T) {
	p := newPageTest(t, lowStory())
	p.do(chromedp.Evaluate[chromedp.Void](`globalThis.drawn = [];
		for (const name of ["fillText", "strokeText"]) {
			const own = CanvasRenderingContext2D.prototype[name];
			CanvasRenderingContext2D.prototype[name] = function (text, ...at) { drawn.push(name + " " + text); own.call(this, text, ...at); };
		}; 0`))
	p.do(chromedp.EmulateViewport(1200, 820))
	p.waitFor(`["fillText −12", "strokeText −24.5 dB", "fillText −24.5 dB"].every(text => drawn.includes(text))`)
}

// A number at the edge keeps off the line, also where that falls past it between two
// seconds. A pixel is a second here, and a decibel.
func TestTideNumbersKeepOffTheLine(t *testing.T) {
	p := newPageTest(t, calmStory())
	for _, test := range []struct{ name, tide, want string }{
		{"far to the left", `[[1, -10], [2, -10]]`, "false"},
		{"through it", `[[4, -10], [11, -10], [20, -10]]`, "true"},
		{"above it", `[[4, -3], [11, -3], [20, -3]]`, "false"},
		{"falls past it", `[[10, 0], [11, -20], [12, 0]]`, "true"},
		{"falls past it where it ends", `[[15, 0], [16, -20]]`, "true"},
		{"falls after it", `[[16, 0], [17, -20]]`, "false"},
		{"silent there", `[[9, -10], [11, null], [14, null], [17, -10]]`, "false"},
	} {
		got := p.text(`import(new URL("parts/edge.js", document.querySelector("script[type=module]").src)).then(({ crosses }) => {
			const flat = { valToPos: (v, axis) => axis === "y" ? -v : v, posToVal: x => x };
			return String(crosses(flat, ` + test.tide + `.map(([t, rise_db]) => ({ t, rise_db })), { left: 10, right: 15, top: 8, bottom: 12 }));
		})`)
		if got != test.want {
			t.Errorf("%s: %s, want %s", test.name, got, test.want)
		}
	}
}
