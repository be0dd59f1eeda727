package yardstick

import (
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/rules"
	"pawl/rules/desk"
)

const s = time.Second

// due is a line about piano and fiddle, from 10 s on, carefully at 20 s, by 40 s.
func due(what string) practicetest.Due {
	return practicetest.Due{What: what, About: []string{"piano", "fiddle"}, Fair: 10 * s, Careful: 20 * s, Latest: 40 * s, How: "nudge"}
}

// at is a nudge about the piano and nobody else that stands for 5 s and was shown.
func at(t time.Duration, number int, words ...string) remark {
	return remark{number: number, words: words, about: []string{"piano"}, at: t, until: t + 5*s, weight: rules.Nudge, shown: t}
}

// TestHold holds made-up labels against made-up remarks.
func TestHold(t *testing.T) {
	ratchet := practicetest.Labels{Say: []practicetest.Due{due("ratchet")}}
	both := practicetest.Labels{Say: []practicetest.Due{due("compressor too hard"), due("compressor never lets go")}}
	both.Say[1].Fair, both.Say[1].Careful, both.Say[1].Latest = 30*s, 35*s, 60*s
	twice := practicetest.Labels{Say: []practicetest.Due{due("muted mic"), due("muted mic")}}
	twice.Say[1].Fair, twice.Say[1].Careful, twice.Say[1].Latest = 70*s, 75*s, 80*s
	all := ratchet
	all.Say = []practicetest.Due{due("everybody at once")}
	all.Say[0].About = nil
	may := ratchet
	may.May = []practicetest.Fair{{What: "creep", About: []string{"piano"}, From: 5 * s, Until: 9 * s}, {What: "hot main", From: 50 * s}}
	early := ratchet
	early.May = []practicetest.Fair{{What: "ratchet", About: []string{"piano"}, From: 3 * s, Until: 10 * s}}
	never := ratchet
	never.Never = []practicetest.Wrong{{What: "anything", From: 50 * s, Why: "it is over"}, {What: "creep", About: []string{"piano"}, Why: "nobody creeps"}}
	change := func(r remark, f func(*remark)) remark { f(&r); return r }
	of := func(r remark, about ...string) remark { return change(r, func(r *remark) { r.about = about }) }
	standing := func(r remark, until time.Duration) remark { return change(r, func(r *remark) { r.until = until }) }

	for _, c := range []struct {
		name  string
		label practicetest.Labels
		said  []remark
		want  []string // the faults, each by how it begins and what else is in it
	}{
		{"in time", ratchet, []remark{at(20*s, 1, "ratchet")}, nil},
		{"at the first moment that is fair", ratchet, []remark{at(10*s, 1, "ratchet")}, nil},
		{"before that", ratchet, []remark{at(10*s-1, 1, "ratchet")}, []string{"false alarm: ratchet|too early: fair at 10s", "missed: ratchet|said before 10s"}},
		{"before that, and over by then", ratchet, []remark{at(2*s, 1, "ratchet")}, []string{"false alarm: ratchet|too early", "missed: ratchet|not said from 10s to 40s"}},
		{"too early, and said again in time", ratchet, []remark{at(5*s, 1, "ratchet"), at(15*s, 1, "ratchet")}, []string{"false alarm: ratchet|too early"}},
		{"not at all", ratchet, nil, []string{"missed: ratchet|not said"}},
		{"something else", ratchet, []remark{at(20*s, 1, "creep")}, []string{"false alarm: creep|nobody expected it", "missed: ratchet|not said"}},
		{"with delay", ratchet, []remark{at(23*s, 1, "ratchet")}, nil},
		{"with too much of it", ratchet, []remark{at(23*s+1, 1, "ratchet")}, []string{"slow: ratchet|said at 23.000000001s"}},
		{"where the latest time alone counts", all, []remark{at(40*s, 1, "everybody at once")}, nil},
		{"too late", ratchet, []remark{at(40*s+1, 1, "ratchet")}, []string{"missed: ratchet|said at 40.000000001s, latest 40s"}},
		{"once more", ratchet, []remark{at(20*s, 1, "ratchet"), at(30*s, 2, "ratchet")}, nil},
		{"once more when its time is over", ratchet, []remark{at(20*s, 1, "ratchet"), at(90*s, 2, "ratchet")}, nil},
		{"once more when it does not hold", never, []remark{at(20*s, 1, "ratchet"), at(50*s, 2, "ratchet")}, []string{"false alarm: ratchet|never: it is over"}},
		{"too late where nothing may be said", never, []remark{at(50*s, 2, "ratchet")}, []string{"missed: ratchet|not said", "false alarm: ratchet|never: it is over"}},
		{"one of them and another", ratchet, []remark{of(at(20*s, 1, "ratchet"), "harp", "fiddle")}, nil},
		{"others alone", ratchet, []remark{of(at(20*s, 1, "ratchet"), "harp")}, []string{"false alarm: ratchet|it is about piano, fiddle", "missed: ratchet|said at 20s of others than piano, fiddle"}},
		{"others, then one of them", ratchet, []remark{of(at(11*s, 1, "ratchet"), "harp"), at(20*s, 2, "ratchet")}, []string{"false alarm: ratchet|it is about"}},
		{"nobody", ratchet, []remark{of(at(20*s, 1, "ratchet"))}, []string{"false alarm: ratchet", "missed: ratchet"}},
		{"nobody of all", all, []remark{of(at(20*s, 1, "everybody at once"))}, nil},
		{"what may be said", may, []remark{at(5*s, 2, "creep"), at(9*s, 3, "creep"), at(20*s, 1, "ratchet"), of(at(90*s, 4, "hot main"), "main")}, nil},
		{"as early as it may be, and it stands", early, []remark{standing(at(5*s, 1, "ratchet"), 15*s)}, nil},
		{"as early as it may be, and it is over when it is due", early, []remark{at(4*s, 1, "ratchet")}, []string{"missed: ratchet|not said"}},
		{"before and after it may be", may, []remark{at(5*s-1, 2, "creep"), at(9*s+1, 3, "creep"), at(20*s, 1, "ratchet")}, []string{"false alarm: creep", "false alarm: creep"}},
		{"of others than it may be", may, []remark{of(at(5*s, 2, "creep"), "harp"), at(20*s, 1, "ratchet")}, []string{"false alarm: creep"}},
		{"what must not be said", never, []remark{at(15*s, 2, "creep"), at(20*s, 1, "ratchet")}, []string{"false alarm: creep|never: nobody creeps"}},
		{"for the nearer of two reasons", never, []remark{at(20*s, 1, "ratchet"), at(60*s, 2, "creep")}, []string{"false alarm: creep|nobody creeps"}},
		{"a false one that grows", ratchet, []remark{at(15*s, 2, "creep"), at(18*s, 2, "creep"), at(20*s, 1, "ratchet")}, []string{"false alarm: creep"}},
		{"two false ones", ratchet, []remark{at(15*s, 2, "creep"), at(18*s, 3, "creep"), at(20*s, 1, "ratchet")}, []string{"false alarm: creep", "false alarm: creep"}},
		{"one for each of two lines", twice, []remark{at(20*s, 1, "muted mic"), at(75*s, 2, "muted mic")}, []string{}},
		{"one for two lines", twice, []remark{standing(at(20*s, 1, "muted mic"), 80*s)}, []string{"missed: muted mic|not said from 1m10s"}},
		{"once more, which becomes a guess at the second", twice, []remark{at(20*s, 1, "muted mic"), at(69*s, 2, "muted mic")}, []string{"false alarm: muted mic|too early: fair at 1m10s", "missed: muted mic|said before 1m10s"}},
		{"both of one that says two things", both, []remark{standing(at(20*s, 1, "compressor too hard", "compressor never lets go"), 50*s)}, nil},
		{"the one that is due of one that says two things", both, []remark{at(20*s, 1, "compressor too hard", "compressor never lets go")}, []string{"missed: compressor never lets go|not said"}},
		{"the other", both, []remark{at(20*s, 1, "compressor too hard"), at(35*s, 1, "compressor too hard", "compressor never lets go")}, nil},
		{"a guess that stands", both, []remark{standing(at(5*s, 1, "compressor too hard", "compressor never lets go"), 50*s)},
			[]string{"false alarm: compressor too hard|too early", "missed: compressor too hard|said before", "missed: compressor never lets go|said before"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := hold("made up", 2*time.Minute, c.label, c.said)
			faults := got.faults()
			if len(faults) != len(c.want) {
				t.Fatalf("got %v, want %q", faults, c.want)
			}
			for i, f := range faults {
				begins, has, _ := strings.Cut(c.want[i], "|")
				if text := strings.TrimPrefix(f.String(), "made up: "); !strings.HasPrefix(text, begins+": ") || !strings.Contains(text, has) {
					t.Errorf("got %q, want %q with %q in it", text, begins, has)
				}
			}
		})
	}
}

// TestTallies adds up what was shown, held back, said late, heavily and of others.
func TestTallies(t *testing.T) {
	label := practicetest.Labels{Say: []practicetest.Due{due("ratchet"), due("muted mic"), due("lead lost")}}
	unseen := at(25*s, 2, "muted mic")
	unseen.weight, unseen.shown, unseen.about = rules.Whisper, never, []string{"fiddle", "harp"}
	line := at(31*s, 3, "hot input")
	line.weight = rules.Whisper
	card := at(30*s, 4, "creep")
	card.shown = never
	grown := card
	grown.shown = 35 * s
	one := hold("one", 30*time.Minute, label, []remark{at(22*s, 1, "ratchet"), unseen, card, line, grown})
	text := table("a set", []score{one, hold("nothing", 30*time.Minute, practicetest.Labels{}, nil)})
	for _, want := range []string{
		"a set: 2 services, 1h0m0s of service.",
		"| **all** | 2 / 3 | 1 | 1 | 0 | 0 | 0 | 1 | 3.5 s / 5.0 s | 0 | 1 | 1 + 0 | 1 + 0 |",
		"| ratchet | 1 / 1 | 1 | 0 | 0 | 0 | 0 | 0 | 2.0 s / 2.0 s | 0 | 1 | 0 | 0 |",
		"| *one* | 2 / 3 |",
		"1.0 cards and 1.0 lines shown, 0.0 and 0.0 held back",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %s", want, text)
		}
	}
	if strings.Contains(text, "*nothing*") || strings.Contains(text, "main down") {
		t.Errorf("a row that tells nothing in %s", text)
	}
}

// TestUnlike: what is known of must still be so, exactly once.
func TestUnlike(t *testing.T) {
	a, b := fault{"a", wasMissed, "creep", "why"}, fault{"b", wasFalse, "ratchet", "why"}
	for _, c := range []struct {
		name         string
		found, known []fault
		want         []string
	}{
		{"nothing", nil, nil, nil},
		{"known", []fault{a, b}, []fault{b, a}, nil},
		{"with other words", []fault{{a.service, a.what, a.word, "so"}}, []fault{a}, nil},
		{"new", []fault{a, b}, []fault{a}, []string{"b: false alarm: ratchet: why"}},
		{"twice", []fault{a, a}, []fault{a}, []string{"a: missed: creep: why"}},
		{"mended", []fault{a}, []fault{a, b}, []string{"b: false alarm: ratchet: why: mended, take it off the list"}},
		{"another word", []fault{{a.service, a.what, "ratchet", ""}}, []fault{a}, []string{"a: missed: ratchet: ", "a: missed: creep: why: mended, take it off the list"}},
	} {
		if got := unlike(c.found, c.known); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

// TestRemarks makes remarks of the entries of a made-up service.
func TestRemarks(t *testing.T) {
	entry := func(at time.Duration, number int, state rules.State, shown bool) *rules.Finding {
		return &rules.Finding{Stamp: rules.Stamp{T: rules.Moment(at)}, Number: number, Rule: "hot-main", State: state, Weight: rules.Nudge, Shown: shown}
	}
	got := remarks(practice.Halls()[0], desk.Roster{}, []rules.Entry{
		&rules.Moved{}, entry(1*s, 1, rules.Open, false), entry(2*s, 2, rules.Open, true), entry(3*s, 1, rules.Grew, false),
		entry(4*s, 1, rules.Shown, true), entry(5*s, 2, rules.Held, false), entry(6*s, 2, rules.Shown, true), entry(7*s, 1, rules.Eased, true),
	}, 9*s)
	type told struct {
		number           int
		at, until, shown time.Duration
	}
	var all []told
	for _, r := range got {
		all = append(all, told{r.number, r.at, r.until, r.shown})
	}
	if want := []told{{1, 1 * s, 7 * s, 4 * s}, {2, 2 * s, 9 * s, 2 * s}, {1, 3 * s, 7 * s, 4 * s}}; !slices.Equal(all, want) {
		t.Errorf("got %v, want %v", all, want)
	}
}
