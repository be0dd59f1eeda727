package rules

import (
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/rules/desk"
)

// asked is one claim put to the policy.
type asked struct {
	at     time.Duration
	rule   string
	number int
	size   desk.DB
	weight Weight
	about  int // an input of its own
}

func (a asked) put(c *calm) string {
	return c.admit(a.at, a.rule, a.number, Claim{About: []desk.Mover{{Strip: desk.StripInput, Index: a.about}}, Size: a.size, Weight: a.weight}, a.weight)
}

const minute = time.Minute

func TestCalm(t *testing.T) {
	type say struct {
		asked
		close bool // the finding is closed a second later
	}
	for _, c := range []struct {
		name string
		says []say
		want string // + shown, - held back
	}{
		{"two nudges, and no third", []say{
			{asked{0, "a", 1, 1, Nudge, 1}, true}, {asked{4 * minute, "b", 2, 1, Nudge, 2}, true}, {asked{8 * minute, "c", 3, 1, Nudge, 3}, true}}, "++-"},
		{"on average one in ten minutes", []say{
			{asked{0, "a", 1, 1, Nudge, 1}, true}, {asked{minute, "b", 2, 1, Nudge, 2}, true}, {asked{10 * minute, "c", 3, 1, Nudge, 3}, true},
			{asked{12 * minute, "d", 4, 1, Nudge, 4}, true}, {asked{20 * minute, "e", 5, 1, Nudge, 5}, true}}, "+++-+"},
		{"a whisper leaves the last to a nudge", []say{
			{asked{0, "a", 1, 1, Whisper, 1}, true}, {asked{minute, "b", 2, 1, Whisper, 2}, true}, {asked{2 * minute, "c", 3, 1, Nudge, 3}, true}}, "+-+"},
		{"now is always shown and costs nothing", []say{
			{asked{0, "a", 1, 1, Now, 1}, true}, {asked{1, "b", 2, 1, Now, 2}, true}, {asked{2, "c", 3, 1, Now, 3}, true},
			{asked{3, "d", 4, 1, Nudge, 4}, true}, {asked{4, "e", 5, 1, Nudge, 5}, true}}, "+++++"},
		{"the same of the same faders stays closed", []say{
			{asked{0, "a", 1, 3, Nudge, 1}, true}, {asked{2 * minute, "a", 2, 3, Nudge, 1}, true}}, "+-"},
		{"unless it is worse by 2 dB", []say{
			{asked{0, "a", 1, 3, Nudge, 1}, true}, {asked{2 * minute, "a", 2, 5, Nudge, 1}, true}}, "++"},
		{"but not by 1.9 dB", []say{
			{asked{0, "a", 1, 3, Nudge, 1}, true}, {asked{2 * minute, "a", 2, 4.9, Nudge, 1}, true}}, "+-"},
		{"or three minutes later", []say{
			{asked{0, "a", 1, 3, Nudge, 1}, true}, {asked{3*minute + time.Second, "a", 2, 3, Nudge, 1}, true}}, "++"},
		{"on the screen still, however long", []say{
			{asked{0, "a", 1, 3, Nudge, 1}, false}, {asked{8 * minute, "a", 2, 3, Nudge, 1}, true}}, "+-"},
		{"or of other faders", []say{
			{asked{0, "a", 1, 3, Nudge, 1}, true}, {asked{2 * minute, "a", 2, 3, Nudge, 2}, true}}, "++"},
		{"or by another rule", []say{
			{asked{0, "a", 1, 3, Nudge, 1}, true}, {asked{2 * minute, "b", 2, 3, Nudge, 1}, true}}, "++"},
		{"no rule three times in a minute, not even a now", []say{
			{asked{0, "a", 1, 1, Now, 1}, true}, {asked{20 * time.Second, "a", 2, 1, Now, 2}, true}, {asked{59 * time.Second, "a", 3, 1, Now, 3}, true},
			{asked{minute, "a", 4, 1, Now, 4}, true}}, "++-+"},
		{"grows where it is, at no cost", []say{
			{asked{0, "a", 1, 1, Whisper, 1}, false}, {asked{1, "a", 1, 2, Nudge, 1}, false}, {asked{2, "a", 1, 3, Nudge, 1}, false},
			{asked{3, "b", 2, 1, Nudge, 2}, true}, {asked{4, "c", 3, 1, Nudge, 3}, true}}, "++++-"},
		{"seen, it is not shown again for growing a little", []say{
			{asked{0, "a", 1, 3, Nudge, 1}, true}, {asked{minute, "a", 1, 4, Nudge, 1}, false}, {asked{2 * minute, "a", 1, 5, Nudge, 1}, false}}, "+-+"},
	} {
		t.Run(c.name, func(t *testing.T) {
			policy := newCalm(DefaultLimits().Calm)
			got := ""
			for _, s := range c.says {
				why := s.put(policy)
				got += map[bool]string{true: "+", false: "-"}[why == ""]
				if shown := policy.visible(s.number); shown != (why == "") {
					t.Errorf("%v: visible %v though the answer was %q", s.at, shown, why)
				}
				if s.close {
					policy.close(s.at+time.Second, s.number)
				}
			}
			if got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}

func TestHeldBackSaysWhy(t *testing.T) {
	c := newCalm(DefaultLimits().Calm)
	c.silence("a", minute)
	for _, q := range []struct {
		asked
		want string
	}{
		{asked{0, "a", 1, 1, Now, 1}, "not now"},
		{asked{1, "b", 2, 1, Whisper, 1}, ""},
		{asked{2, "b", 3, 1, Whisper, 1}, "of the same faders"},
		{asked{3, "c", 4, 1, Whisper, 2}, "no more than 2 in 10 min"},
		{asked{minute, "a", 5, 1, Nudge, 1}, ""},
	} {
		if got := q.put(c); (got == "") != (q.want == "") || !strings.Contains(got, q.want) {
			t.Errorf("%v %s: got %q, want %q", q.at, q.rule, got, q.want)
		}
	}
	c.silence("a", time.Hour)
	c.unsilence()
	if got := (asked{5 * minute, "a", 6, 1, Now, 7}).put(c); got != "" {
		t.Errorf("after a mark: %q, want it to speak", got)
	}
}

// TestBudget: whatever is claimed, and seen or eased whenever, the operator is
// never shown more than the budget in any ten minutes, nor on average.
func TestBudget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := DefaultLimits().Calm
		l.Most = rapid.IntRange(1, 4).Draw(t, "most")
		c := newCalm(l)
		var shows []time.Duration
		at, number := time.Duration(0), 0
		for range rapid.IntRange(1, 200).Draw(t, "claims") {
			at += time.Duration(rapid.IntRange(0, 300).Draw(t, "seconds later")) * time.Second
			if number == 0 || rapid.Bool().Draw(t, "new") {
				number++
			}
			was := c.visible(number)
			a := asked{at, rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "rule"), number,
				desk.DB(rapid.IntRange(0, 9).Draw(t, "size")), rapid.SampledFrom([]Weight{Whisper, Nudge, Now}).Draw(t, "weight"),
				rapid.IntRange(0, 5).Draw(t, "about")}
			if a.put(c) == "" && !was && a.weight != Now {
				shows = append(shows, at)
			}
			if rapid.Bool().Draw(t, "close") {
				c.close(at, number)
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
