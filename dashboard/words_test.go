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
	const want = "upright bass, nobody, nobody, no one named"
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
		{at(0, true), "0.0 dB"}, {at(0.04, true), "0.0 dB"}, {at(0.06, true), "0.1 dB"},
		{at(3.04, true), "3.0 dB"}, {at(3.06, true), "3.1 dB over 3 dB"}, {at(14, true), "14.0 dB over 3 dB"},
		{at(0, false), "– not playing"}, {at(4, false), "– not playing"},
	}
	st := calmStory()
	st.now.Groups = nil
	for i, test := range tests {
		test.group.Who = desk.Who{Strip: desk.StripGroup, Index: i, Name: fmt.Sprint("group ", i)}
		st.now.Groups = append(st.now.Groups, test.group)
	}
	p := newPageTest(t, st)
	got := strings.Split(p.text(`[...document.querySelectorAll(".rail")].map(e => (e.querySelector(".amount").innerText + " " +
		e.querySelector(".feel").textContent).trim()).join("\n")`), "\n")
	for i, test := range tests {
		if i >= len(got) || got[i] != test.want {
			t.Errorf("group %d says %q, want %q", i, got[min(i, len(got)-1)], test.want)
		}
	}
	// One of which nothing was ever heard has no row, and 0.0 dB of it would be a lie.
	st.now.Groups = []rules.GroupPicture{st.now.Groups[0], unheardGroup(1, "unheard")}
	p.story.change(st.now)
	p.waitFor(`document.querySelectorAll(".rail").length === 1`)
}

// The notch stands at 3 dB of the ten that a rail is long, and a rail ends where its group
// does, or at its end.
func TestRailsAreToScale(t *testing.T) {
	st := calmStory()
	st.now.Groups = []rules.GroupPicture{squeezed(0, "band", 6, 5, 7), squeezed(1, "voices", 14, 12, 15)}
	p := newPageTest(t, st)
	p.waitFor(`[...document.querySelectorAll(".rail")].map(rail => {
		const wide = e => rail.querySelector(e).getBoundingClientRect().width, bed = wide(".bed");
		const notch = rail.querySelector(".notch").getBoundingClientRect().left - rail.querySelector(".bed").getBoundingClientRect().left;
		return (notch / bed).toFixed(1) + " " + (wide(".holds") / bed).toFixed(1);
	}).join(", ") === "0.3 0.6, 0.3 1.0"`)
}

func TestLinkWords(t *testing.T) {
	st := calmStory()
	p := newPageTest(t, st)
	for _, test := range []struct {
		phase Phase
		age   float64
		want  string
	}{
		{"hearing", 0, "Connected to the desk"}, {"hearing", 1.7, "Heard 1 s ago"}, {"hearing", 0.99, "Connected to the desk"},
		{"hearing", 2.2, "Heard 2 s ago"}, {"quiet", 3.6, "Last heard 3 s ago"}, {"quiet", 200, "Last heard 3 min ago"},
	} {
		st.now.Link.Phase, st.now.Link.Age = test.phase, test.age
		p.story.change(st.now)
		p.waitFor(fmt.Sprintf(`document.getElementById("link").textContent === %q`, test.want))
	}
}
