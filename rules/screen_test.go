package rules

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/rules/desk"
)

// theatre plays findings to the screen without any rule.
type theatre struct {
	limits CalmLimits
	past   past
	open   []candidate
	screen Screen
}

func newTheatre() *theatre {
	l := DefaultLimits().Calm
	return &theatre{limits: l, past: past{saved: float64(l.Most), silenced: map[string]time.Duration{}}}
}

// staged is one finding put to the screen.
type staged struct {
	at     time.Duration
	rule   string
	number int
	size   desk.DB
	weight Weight
	about  int // an input of its own
}

// put opens a finding, or says it again.
func (th *theatre) put(a staged) {
	c := candidate{a.number, a.rule, []desk.Mover{{Strip: desk.StripInput, Index: a.about}}, a.weight, a.size, a.at, false}
	th.open = append(slices.DeleteFunc(th.open, func(o candidate) bool { return o.number == a.number }), c)
	th.look(a.at)
}

func (th *theatre) look(at time.Duration) {
	th.screen = choose(at, th.open, &th.past, th.limits)
	th.past.note(at, th.open, th.screen, th.limits)
}

// ease ends a finding; see takes it off the screen while it goes on.
func (th *theatre) ease(at time.Duration, number int) {
	th.open = slices.DeleteFunc(th.open, func(o candidate) bool { return o.number == number })
	th.past.close(at, number, false)
	th.look(at)
}

func (th *theatre) see(at time.Duration, number int) {
	th.past.close(at, number, true)
	th.look(at)
}

func TestCalm(t *testing.T) {
	type then uint8
	const (
		stays then = iota
		eases      // a second later
		seen       // a second later, and goes on
	)
	type step struct {
		staged
		then then
	}
	for _, c := range []struct {
		name  string
		steps []step
		want  string // + shown, - held back
	}{
		{"two nudges, and no third", []step{
			{staged{0, "a", 1, 1, Nudge, 1}, eases}, {staged{4 * minute, "b", 2, 1, Nudge, 2}, eases}, {staged{8 * minute, "c", 3, 1, Nudge, 3}, eases}}, "++-"},
		{"on average one in ten minutes", []step{
			{staged{0, "a", 1, 1, Nudge, 1}, eases}, {staged{minute, "b", 2, 1, Nudge, 2}, eases}, {staged{10 * minute, "c", 3, 1, Nudge, 3}, eases},
			{staged{12 * minute, "d", 4, 1, Nudge, 4}, eases}, {staged{20 * minute, "e", 5, 1, Nudge, 5}, eases}}, "+++-+"},
		{"a whisper leaves the last to a nudge", []step{
			{staged{0, "a", 1, 1, Whisper, 1}, eases}, {staged{minute, "b", 2, 1, Whisper, 2}, eases}, {staged{2 * minute, "c", 3, 1, Nudge, 3}, eases}}, "+-+"},
		{"now is always shown and costs nothing", []step{
			{staged{0, "a", 1, 1, Now, 1}, seen}, {staged{1, "b", 2, 1, Now, 2}, seen}, {staged{2, "c", 3, 1, Now, 3}, seen},
			{staged{3 * time.Second, "d", 4, 1, Nudge, 4}, eases}, {staged{5 * time.Second, "e", 5, 1, Nudge, 5}, eases}}, "+++++"},
		{"the same of the same faders stays closed", []step{
			{staged{0, "a", 1, 3, Nudge, 1}, eases}, {staged{2 * minute, "a", 2, 3, Nudge, 1}, eases}}, "+-"},
		{"unless it is worse by 2 dB", []step{
			{staged{0, "a", 1, 3, Nudge, 1}, eases}, {staged{2 * minute, "a", 2, 5, Nudge, 1}, eases}}, "++"},
		{"but not by 1.9 dB", []step{
			{staged{0, "a", 1, 3, Nudge, 1}, eases}, {staged{2 * minute, "a", 2, 4.9, Nudge, 1}, eases}}, "+-"},
		{"or three minutes later", []step{
			{staged{0, "a", 1, 3, Nudge, 1}, eases}, {staged{3*minute + 2*time.Second, "a", 2, 3, Nudge, 1}, eases}}, "++"},
		{"on the screen still, however long", []step{
			{staged{0, "a", 1, 3, Nudge, 1}, stays}, {staged{8 * minute, "a", 2, 3, Nudge, 1}, eases}}, "+-"},
		{"or of other faders", []step{
			{staged{0, "a", 1, 3, Nudge, 1}, eases}, {staged{2 * minute, "a", 2, 3, Nudge, 2}, eases}}, "++"},
		{"or by another rule", []step{
			{staged{0, "a", 1, 3, Nudge, 1}, eases}, {staged{2 * minute, "b", 2, 3, Nudge, 1}, eases}}, "++"},
		{"no rule three times in a minute, not even a now", []step{
			{staged{0, "a", 1, 1, Now, 1}, eases}, {staged{20 * time.Second, "a", 2, 1, Now, 2}, eases}, {staged{59 * time.Second, "a", 3, 1, Now, 3}, eases},
			{staged{61 * time.Second, "a", 4, 1, Now, 4}, eases}}, "++-+"},
		{"grows where it is, at no cost", []step{
			{staged{0, "a", 1, 1, Whisper, 1}, stays}, {staged{1, "a", 1, 2, Nudge, 1}, stays}, {staged{2, "a", 1, 3, Nudge, 1}, eases},
			{staged{2 * time.Second, "b", 2, 1, Nudge, 2}, eases}, {staged{4 * time.Second, "c", 3, 1, Nudge, 3}, eases}}, "++++-"},
		{"seen, it is not shown again for growing a little", []step{
			{staged{0, "a", 1, 3, Nudge, 1}, seen}, {staged{minute, "a", 1, 4, Nudge, 1}, stays}, {staged{2 * minute, "a", 1, 5, Nudge, 1}, stays}}, "+-+"},
		{"one card: what weighs the same waits", []step{
			{staged{0, "a", 1, 3, Nudge, 1}, stays}, {staged{minute, "b", 2, 9, Nudge, 2}, stays}}, "+-"},
		{"what weighs more takes its place", []step{
			{staged{0, "a", 1, 3, Nudge, 1}, stays}, {staged{minute, "b", 2, 1, Now, 2}, stays}}, "++"},
		{"a line beside a card", []step{
			{staged{0, "a", 1, 3, Whisper, 1}, stays}, {staged{minute, "b", 2, 3, Nudge, 2}, stays}}, "++"},
	} {
		t.Run(c.name, func(t *testing.T) {
			th, got := newTheatre(), ""
			for _, s := range c.steps {
				th.put(s.staged)
				shown := th.screen.Shows(s.number)
				got += map[bool]string{true: "+", false: "-"}[shown]
				if _, held := th.screen.Held[s.number]; held == shown {
					t.Errorf("%v: shown %v, and a reason %v", s.at, shown, held)
				}
				switch s.then {
				case eases:
					th.ease(s.at+time.Second, s.number)
				case seen:
					th.see(s.at+time.Second, s.number)
				}
			}
			if got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}

// TestHeldBackComesWhenThereIsRoom: a nudge that the budget held back is shown as
// soon as there is a show for it, if its cause still holds.
func TestHeldBackComesWhenThereIsRoom(t *testing.T) {
	th := newTheatre()
	th.put(staged{0, "a", 1, 1, Nudge, 1})
	th.ease(time.Second, 1)
	th.put(staged{minute, "b", 2, 1, Nudge, 2})
	th.ease(minute+time.Second, 2)
	th.put(staged{2 * minute, "c", 3, 1, Nudge, 3})
	if th.screen.Card != 0 {
		t.Fatal("shown at once: the budget holds nothing back")
	}
	at := 2 * minute
	for ; th.screen.Card == 0 && at < time.Hour; at += time.Second {
		th.look(at)
	}
	if at != 10*minute+time.Second {
		t.Errorf("shown at %v, want it when ten minutes have passed since the first", at-time.Second)
	}
}

// TestDisplacedComesBack: what made room for something heavier is there again once
// that is gone, and the budget is not charged twice.
func TestDisplacedComesBack(t *testing.T) {
	th := newTheatre()
	th.put(staged{0, "a", 1, 3, Nudge, 1})
	th.put(staged{minute, "b", 2, 1, Now, 2})
	if th.screen.Card != 2 || th.screen.Held[1].why.ID != "held.room" {
		t.Fatalf("screen %+v, want the heavier one", th.screen)
	}
	th.see(2*minute, 2)
	if th.screen.Card != 1 {
		t.Errorf("screen %+v, want the first again", th.screen)
	}
	th.ease(3*minute, 1)
	th.put(staged{4 * minute, "c", 3, 1, Nudge, 3})
	if th.screen.Card != 3 {
		t.Errorf("screen %+v: coming back was charged to the budget", th.screen)
	}
}

// TestReadMakesRoom: a line that stood for two minutes was read, and another takes its
// place, once; a card that cannot wait stays.
func TestReadMakesRoom(t *testing.T) {
	th := newTheatre()
	th.limits.Most, th.past.saved = 9, 9
	th.put(staged{0, "a", 1, 1, Whisper, 1})
	th.put(staged{minute, "b", 2, 1, Whisper, 2})
	if th.screen.Line != 1 {
		t.Fatalf("screen %+v: the first was taken from under somebody's eyes", th.screen)
	}
	th.look(2 * minute)
	if th.screen.Line != 2 || th.screen.Held[1].why.ID != "held.room" {
		t.Errorf("screen %+v, want the second, and the first to wait", th.screen)
	}
	for at := 2 * minute; at < 10*minute; at += minute {
		if th.look(at); th.screen.Line != 2 {
			t.Fatalf("at %v: screen %+v, want what was said last to stay", at, th.screen)
		}
	}
	if th.ease(10*minute, 2); th.screen.Line != 1 {
		t.Errorf("screen %+v, want the first again", th.screen)
	}
	th.put(staged{11 * minute, "c", 3, 1, Now, 3})
	th.put(staged{12 * minute, "d", 4, 1, Now, 4})
	if th.look(20 * minute); th.screen.Card != 3 {
		t.Errorf("screen %+v: what cannot wait made room", th.screen)
	}
}

// TestWhatCannotWaitIsRepeated: muted again is not to be heard again, unless whoever mixes
// pressed that they know.
func TestWhatCannotWaitIsRepeated(t *testing.T) {
	th := newTheatre()
	th.put(staged{0, "a", 1, 1, Now, 1})
	th.ease(time.Second, 1)
	if th.put(staged{minute + time.Second, "a", 2, 1, Now, 1}); th.screen.Card != 2 {
		t.Errorf("screen %+v, want the second", th.screen)
	}
	th.see(minute+2*time.Second, 2)
	if th.put(staged{2*minute + 2*time.Second, "a", 3, 1, Now, 1}); th.screen.Held[3].why.ID != "held.again" {
		t.Errorf("screen %+v: it was known", th.screen)
	}
}

func TestHeldBackSaysWhy(t *testing.T) {
	th := newTheatre()
	th.past.silenced["a"] = minute
	for _, q := range []struct {
		staged
		want string
	}{
		{staged{0, "a", 1, 1, Now, 1}, "held.not-now"},
		{staged{1, "b", 2, 1, Whisper, 1}, ""},
		{staged{2, "b", 3, 1, Whisper, 1}, "held.again"},
		{staged{3, "c", 4, 1, Whisper, 2}, "held.room"},
		{staged{minute, "a", 5, 1, Nudge, 1}, "held.room"}, // 1 may speak again, and is there
	} {
		th.put(q.staged)
		if got := th.screen.Held[q.number].why.ID; got != q.want {
			t.Errorf("%v %s: got %q, want %q", q.at, q.rule, got, q.want)
		}
	}
	th.past.hold = true
	th.put(staged{2 * minute, "d", 6, 1, Nudge, 6})
	if got := th.screen.Held[6].why.ID; got != "held.coach" || th.screen.Line != 0 || th.screen.Card != 1 {
		t.Errorf("held %q, screen %+v: want whispers and nudges held, and now shown", got, th.screen)
	}
	th.past.hold = false
	th.look(2*minute + 1)
	if th.screen.Line != 2 {
		t.Errorf("screen %+v: want the line again once nobody holds it", th.screen)
	}
}

// TestBudget: whatever is claimed, and seen or eased whenever, the operator is
// never shown more than the budget in any ten minutes, nor on average; and there is
// never more than one card and one line.
func TestBudget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		th := newTheatre()
		th.limits.Most = rapid.IntRange(1, 4).Draw(t, "most")
		th.past.saved = float64(th.limits.Most)
		l := th.limits
		var shows []time.Duration
		at, number := time.Duration(0), 0
		ever := map[int]bool{}
		for range rapid.IntRange(1, 200).Draw(t, "claims") {
			at += time.Duration(rapid.IntRange(0, 300).Draw(t, "seconds later")) * time.Second
			if number == 0 || rapid.Bool().Draw(t, "new") {
				number++
			}
			was := slices.Clone(th.past.shows)
			th.put(staged{at, rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "rule"), number,
				desk.DB(rapid.IntRange(0, 9).Draw(t, "size")), rapid.SampledFrom([]Weight{Whisper, Nudge, Now}).Draw(t, "weight"),
				rapid.IntRange(0, 5).Draw(t, "about")})
			for _, s := range th.past.shows {
				if s.counts && !slices.Contains(was, s) {
					shows = append(shows, at)
				}
			}
			ever[number] = true
			switch rapid.IntRange(0, 3).Draw(t, "then") {
			case 0:
				th.ease(at, number)
			case 1:
				th.see(at, number)
			}
			for _, s := range th.past.shows {
				if s.counts && s.since == at && !slices.Contains(shows, at) {
					shows = append(shows, at) // what came in the place of what was seen
				}
			}
			if c := th.screen.Card; c != 0 && c == th.screen.Line {
				t.Fatalf("%d is both card and line", c)
			}
		}
		for i := range shows {
			within := slices.IndexFunc(shows[i:], func(s time.Duration) bool { return s-shows[i] >= l.Every })
			if within < 0 {
				within = len(shows) - i
			}
			if within > l.Most {
				t.Fatalf("%d shows within %v of %v, want at most %d: %v", within, l.Every, shows[i], l.Most, shows)
			}
		}
		if most := float64(l.Most) + float64(at)/float64(l.Every); float64(len(shows)) > most+1e-9 {
			t.Fatalf("%d shows in %v, want at most %.2f", len(shows), at, most)
		}
	})
}

// TestChooseIsPure: choosing twice gives the same, and changes nothing.
func TestChooseIsPure(t *testing.T) {
	th := newTheatre()
	th.put(staged{0, "a", 1, 3, Nudge, 1})
	th.put(staged{minute, "b", 2, 3, Whisper, 2})
	before := fmt.Sprintf("%+v", th.past)
	one, two := choose(2*minute, th.open, &th.past, th.limits), choose(2*minute, th.open, &th.past, th.limits)
	if fmt.Sprint(one) != fmt.Sprint(two) || fmt.Sprintf("%+v", th.past) != before {
		t.Errorf("%v and %v", one, two)
	}
}

// scripted is a rule that claims what it is told to, one list a view.
type scripted struct {
	views [][]Claim
	n     int
}

func (s *scripted) Judge(_ *desk.View, claim func(Claim)) {
	if s.n++; s.n > len(s.views) {
		return
	}
	for _, c := range s.views[s.n-1] {
		claim(c)
	}
}

func TestClaims(t *testing.T) {
	claim := func(key int, w Weight, size desk.DB) Claim {
		return Claim{Key: key, About: []desk.Mover{{Strip: desk.StripInput, Index: key}}, Weight: w, Size: size,
			Say: func() Said { return Said{What: []Phrase{{ID: fmt.Sprintf("%v of %v", w, size)}}} }}
	}
	eased := func(c Claim) Claim {
		c.Eased, c.Say = true, func() Said { return Said{What: []Phrase{{ID: "over"}}} }
		return c
	}
	for _, c := range []struct {
		name  string
		views [][]Claim
		want  string
	}{
		{"said once while it holds", [][]Claim{{claim(1, Nudge, 3)}, {claim(1, Nudge, 3)}, {claim(1, Nudge, 3.9)}}, "open 1: nudge of 3.0 dB"},
		{"grown by a dB", [][]Claim{{claim(1, Nudge, 3)}, {claim(1, Nudge, 4)}, {claim(1, Nudge, 4.5)}},
			"open 1: nudge of 3.0 dB, grew 1: nudge of 4.0 dB"},
		{"grown heavier", [][]Claim{{claim(1, Whisper, 2)}, {claim(1, Nudge, 2)}}, "open 1: whisper of 2.0 dB, grew 1: nudge of 2.0 dB"},
		{"lighter again is not said", [][]Claim{{claim(1, Nudge, 3)}, {claim(1, Whisper, 2)}}, "open 1: nudge of 3.0 dB"},
		{"eased with its own words", [][]Claim{{claim(1, Nudge, 3)}, {eased(claim(1, Nudge, 3))}, {}},
			"open 1: nudge of 3.0 dB, eased 1: over"},
		{"no longer claimed: eased with the last words", [][]Claim{{claim(1, Nudge, 3)}, {claim(1, Nudge, 3.5)}, {}},
			"open 1: nudge of 3.0 dB, eased 1: nudge of 3.0 dB"},
		{"kept without anything to say, whatever its size", [][]Claim{{claim(1, Nudge, 3)}, {{Key: 1, Size: 9}}, {{Key: 1}}},
			"open 1: nudge of 3.0 dB"},
		{"eased without anything to say", [][]Claim{{claim(1, Nudge, 3)}, {{Key: 1, Eased: true}}}, "open 1: nudge of 3.0 dB, eased 1: nudge of 3.0 dB"},
		{"nothing to say at first", [][]Claim{{{Key: 1, Size: 9}}}, ""},
		{"eased before it was said", [][]Claim{{eased(claim(1, Nudge, 3))}}, ""},
		{"two at once keep their numbers", [][]Claim{{claim(1, Nudge, 3), claim(2, Nudge, 3)}, {claim(2, Nudge, 3)}, {}},
			"open 1: nudge of 3.0 dB, open 2: nudge of 3.0 dB, eased 1: nudge of 3.0 dB, eased 2: nudge of 3.0 dB"},
	} {
		t.Run(c.name, func(t *testing.T) {
			number := 0
			rule := newClaims(Kind{Name: "scripted", Grew: func(Limits) desk.DB { return 1 }}, &scripted{views: c.views}, DefaultLimits(), &number)
			var got []string
			for i := range c.views {
				for _, n := range rule.look(&desk.View{At: time.Duration(i) * time.Second}, nil) {
					got = append(got, fmt.Sprintf("%s %d: %s", n.state, n.of.number, n.of.said.What[0].ID))
				}
			}
			if all := strings.Join(got, ", "); all != c.want {
				t.Errorf("got  %s\nwant %s", all, c.want)
			}
		})
	}
}

// TestRulesOfOtherSegments: a rule of music is not asked while there is speech, its
// clock stands, and what it said is off the screen until there is music again.
func TestRulesOfOtherSegments(t *testing.T) {
	number := 0
	var asked []time.Duration
	rule := newClaims(Kind{Name: "a", In: []desk.SegmentKind{desk.Music}}, judgeFunc(func(v *desk.View, claim func(Claim)) {
		asked = append(asked, v.Watched)
		claim(Claim{Key: 1, Weight: Nudge, Say: func() Said { return Said{} }})
	}), DefaultLimits(), &number)
	for i, kind := range []desk.SegmentKind{desk.Music, desk.Music, desk.Speech, desk.Speech, desk.Music, desk.AnyKind} {
		at := time.Duration(i) * time.Second
		rule.look(&desk.View{At: at, Watched: at, Segment: desk.Segment{Kind: kind}}, nil)
		if want := kind == desk.Speech; rule.absent != want || len(rule.open) != 1 {
			t.Errorf("at %v: absent %v, %d open", at, rule.absent, len(rule.open))
		}
	}
	if got := fmt.Sprint(asked); got != "[0s 1s 2s 3s]" {
		t.Errorf("asked at %s on its own clock, want two seconds of speech left out", got)
	}
}

// judgeFunc is a rule that is one function.
type judgeFunc func(*desk.View, func(Claim))

func (f judgeFunc) Judge(v *desk.View, claim func(Claim)) { f(v, claim) }

func TestLasting(t *testing.T) {
	var l lasting
	got := ""
	for i, so := range []byte("..11111.1..1....11.111") {
		on := l.holds(time.Duration(i)*time.Second, so == '1', 2*time.Second, 3*time.Second)
		got += map[bool]string{true: "1", false: "."}[on]
	}
	if want := "....11111111111......1"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
