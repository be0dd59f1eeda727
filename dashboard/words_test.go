package dashboard

import (
	"fmt"
	"strings"
	"testing"

	"pawl/rules"
	"pawl/rules/desk"
)

// The words for an element, in sight and to a screen reader: one that is silent
// has nobody to name, and that is no fault of the roster.
func TestElementsSayWhoPlays(t *testing.T) {
	st := calmStory()
	piano := who("piano")
	st.now.Parts = []rules.Part{
		played(desk.Foundation, "upright bass"), {Element: desk.Pad}, {Element: desk.Rhythm, Lead: &piano}, {Element: desk.Lead, Present: true},
	}
	p := newPageTest(t, st)
	const want = "upright bass, not playing, not playing, no one named"
	if got := p.text(`[...document.querySelectorAll("#element-list .primary")].map(e => e.innerText).join(", ")`); got != want {
		t.Errorf("the elements say %q, want %q", got, want)
	}
}

func TestSqueezeWords(t *testing.T) {
	at := func(db desk.DB, active bool) rules.GroupPicture {
		g := squeezed(0, "", db, db, db)
		g.Active = active
		return g
	}
	tests := []struct {
		group rules.GroupPicture
		want  string
	}{
		{at(0, true), "0.0 dB none"}, {at(0.04, true), "0.0 dB none"}, {at(0.06, true), "0.1 dB gentle"},
		{at(0.9, true), "0.9 dB gentle"}, {at(1, true), "1.0 dB within 3 dB"}, {at(3.04, true), "3.0 dB within 3 dB"},
		{at(3.06, true), "3.1 dB over 3 dB"}, {at(14, true), "14.0 dB over 3 dB"}, {at(0, false), "– not playing"},
		{at(4, false), "– not playing"}, {unheardGroup(0, ""), "– not known"}, {rules.GroupPicture{}, "– not playing"},
	}
	st := calmStory()
	st.now.Groups = nil
	for i, test := range tests {
		test.group.Who = desk.Who{Strip: desk.StripGroup, Index: i, Name: fmt.Sprint("group ", i)}
		st.now.Groups = append(st.now.Groups, test.group)
	}
	p := newPageTest(t, st)
	got := strings.Split(p.text(`[...document.querySelectorAll(".upright")].map(e => e.querySelector(".amount").innerText.trim() + " " +
		e.querySelector(".feel").textContent).join("\n").replaceAll("\u00a0", " ")`), "\n")
	for i, test := range tests {
		if i >= len(got) || got[i] != test.want {
			t.Errorf("group %d says %q, want %q", i, got[min(i, len(got)-1)], test.want)
		}
	}
	if got := p.text(`String([...document.querySelectorAll(".upright .median")].filter(e => e.checkVisibility()).length)`); got != "8" {
		t.Errorf("%s groups have a bar at what they do now, want the 8 that play and are known", got)
	}
}

// The band stands on the shaft's foot: none is as good as 3 dB.
func TestSqueezeBandBeginsAtNone(t *testing.T) {
	p := newPageTest(t, calmStory())
	p.waitFor(`(b => { const s = b.parentElement.getBoundingClientRect(), r = b.getBoundingClientRect();
		return Math.abs(r.bottom - s.bottom) < 1 && r.height > s.height / 4 && r.height < s.height / 3; })(document.querySelector(".calm-band"))`)
}

func TestLinkWords(t *testing.T) {
	st := calmStory()
	p := newPageTest(t, st)
	for _, test := range []struct {
		phase Phase
		age   float64
		want  string
	}{
		{"hearing", 0, "Hearing the desk"}, {"hearing", 1.7, "Heard 1 s ago"}, {"hearing", 0.99, "Hearing the desk"},
		{"hearing", 2.2, "Heard 2 s ago"}, {"quiet", 3.6, "Last heard 3 s ago"}, {"quiet", 200, "Last heard 3 min ago"},
	} {
		st.now.Link.Phase, st.now.Link.Age = test.phase, test.age
		p.story.change(st.now)
		p.waitFor(fmt.Sprintf(`document.getElementById("link").textContent === %q`, test.want))
	}
}
