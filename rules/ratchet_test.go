package rules

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/rules/desk"
)

// fourEqual is a band of four that play alike, with a fifth input that is silent,
// standing for twenty seconds. The DCA holds the first three. None of them leads, so
// that no rule but the ratchet has a word on them.
const fourEqual = `
dca band
group low
input piano rhythm dca=band
input accordion pad dca=band
input fiddle pad dca=band
input lead none
input harp fill
0s piano fader -10
0s accordion fader -10
0s fiddle fader -10
0s lead fader -10
0s harp fader -10
0s band fader 0
0s main fader 0
0s piano level -20
0s accordion level -20
0s fiddle level -20
0s lead level -20
0s harp level -80
`

// serve judges a written service, and returns what was said and the judge.
func serve(t *testing.T, text string) ([]*Finding, *Judge) {
	t.Helper()
	s := ScriptOf(t, "service", text)
	j := newJudge(s.Roster)
	s.Play(j)
	return said(j), j
}

// of is those of one rule.
func of(said []*Finding, rule string) []*Finding {
	return slices.DeleteFunc(said, func(f *Finding) bool { return f.Rule != rule })
}

// tellings is the life of findings in short: "open whisper, grew nudge, eased nudge".
func tellings(said []*Finding) string {
	var w []string
	for _, f := range said {
		w = append(w, fmt.Sprintf("%s %s", f.State, f.Weight))
	}
	return strings.Join(w, ", ")
}

func TestRatchet(t *testing.T) {
	for _, c := range []struct {
		name string
		text string
		want string
	}{
		{"three raised once: a whisper", `
			20s piano fader -8
			25s accordion fader -8
			30s fiddle fader -8
			60s end`, "open whisper"},
		{"three raised, one again: a nudge", `
			20s piano fader -8
			25s accordion fader -8
			30s fiddle fader -8
			35s piano fader -7
			60s end`, "open whisper"},
		{"and again until 2 dB: a nudge", `
			20s piano fader -8
			25s accordion fader -8
			30s fiddle fader -8
			35s piano fader -6.5
			60s end`, "open nudge"},
		{"3 dB without a second turn: a nudge", `
			20s piano fader -6
			25s accordion fader -6
			30s fiddle fader -6
			60s end`, "open nudge"},
		{"two are no ratchet", `
			20s piano fader -4
			30s fiddle fader -4
			60s end`, ""},
		{"a third up by less than 1 dB", `
			20s piano fader -6
			25s accordion fader -9.1
			30s fiddle fader -6
			60s end`, ""},
		{"a third up by just 1 dB, as 32 bits tell it", `
			20s piano fader -6
			25s accordion fader -9.0000005
			30s fiddle fader -6
			60s end`, "open whisper"},
		{"lowers undo just half of the raises", `
			20s lead fader -15
			21s piano fader -6
			25s accordion fader -6
			26s lead fader -21
			30s fiddle fader -6
			60s end`, ""},
		{"lowers undo a little less than half", `
			20s lead fader -15
			21s piano fader -6
			25s accordion fader -6
			26s lead fader -20.9
			30s fiddle fader -6
			60s end`, "open nudge"},
		{"a place that is taken from another in one movement is no turn", `
			20s piano fader -6
			25s accordion fader -6
			26s fiddle fader -14
			30s lead fader -6
			60s end`, ""},
		{"one that is lowered a while after gave no place", `
			20s piano fader -6
			25s accordion fader -6
			29s fiddle fader -14
			35s lead fader -6
			60s end`, "open whisper"},
		{"nor one that is lowered by less", `
			20s piano fader -6
			25s accordion fader -6
			26s fiddle fader -12
			30s lead fader -6
			60s end`, "open nudge"},
		{"a lowering taken back undoes nothing", `
			21s piano fader -6
			25s accordion fader -6
			26s lead fader -18
			28s lead fader -10
			30s fiddle fader -6
			60s end`, "open nudge"},
		{"45 s between the turns", `
			20s piano fader -6
			40s accordion fader -6
			86s fiddle fader -6
			120s end`, ""},
		{"just within 45 s", `
			20s piano fader -6
			40s accordion fader -6
			85s fiddle fader -6
			120s end`, "open nudge"},
		{"a raise that began within 45 s and took long", `
			20s piano fader -6
			40s accordion fader -6
			84s fiddle fader -6 over 5s
			120s end`, "open nudge"},
		{"the first a long one, the others meanwhile", `
			20s piano fader -6 over 4s
			21s accordion fader -6 over 4s
			22s fiddle fader -6 over 4s
			60s end`, "open nudge"},
		{"one brought in meanwhile is no climb", `
			10s lead fader -inf
			20s piano fader -8
			25s accordion fader -8
			27s lead fader -4
			60s end`, ""},
		{"nor does it add to those that were raised a little", `
			10s lead fader -inf
			20s piano fader -9
			25s accordion fader -9
			30s fiddle fader -9
			32s lead fader -10
			60s end`, ""},
		{"nor does one brought back to where it was before", `
			15s fiddle fader -16
			20s piano fader -9
			25s accordion fader -9
			27s lead fader -9
			30s fiddle fader -10
			60s end`, ""},
		{"those behind a muted DCA are up for nobody", `
			20s piano fader -6
			25s accordion fader -6
			27s band mute 1
			30s lead fader -4
			60s end`, ""},
		{"one unmuted meanwhile is no climb", `
			10s lead mute 1
			11s lead fader -2
			20s piano fader -8
			25s accordion fader -8
			27s lead mute 0
			60s end`, ""},
		{"one brought back to where it was is no climb", `
			15s fiddle fader -16
			20s piano fader -8
			25s accordion fader -8
			30s fiddle fader -10
			60s end`, ""},
		{"raising what is muted counts for nothing", `
			10s fiddle mute 1
			20s piano fader -6
			25s accordion fader -6
			30s fiddle fader -4
			60s end`, ""},
		{"raising what is muted, begun before the first had ended", `
			10s fiddle mute 1
			20s piano fader -6 over 1s
			20s fiddle fader -4 over 3s
			25s accordion fader -6
			30s lead fader -6
			60s end`, "open nudge"},
		{"raising what is silent counts for nothing", `
			20s piano fader -6
			25s accordion fader -6
			30s harp fader -4
			60s end`, ""},
		{"nor when it begins to play", `
			20s piano fader -8
			25s harp fader -4
			30s accordion fader -8
			40s harp level -14
			50s fiddle fader -9
			70s end`, ""},
		{"lowering what is silent excuses nothing", `
			20s piano fader -6
			25s harp fader -30
			30s accordion fader -6
			35s fiddle fader -6
			60s end`, "open nudge"},
		{"a scene in the middle", `
			20s piano fader -6
			25s accordion fader -6
			27s scene number 2
			30s fiddle fader -6
			60s end`, ""},
		{"a scene under an open card", `
			20s piano fader -6
			25s accordion fader -6
			30s fiddle fader -6
			35s scene number 2
			60s end`, "open nudge, eased nudge"},
		{"brought back by the DCA", `
			20s piano fader -6
			25s accordion fader -6
			30s fiddle fader -6
			40s band fader -4 over 2s
			60s end`, "open nudge, eased nudge"},
		{"brought back by the faders", `
			20s piano fader -6
			25s accordion fader -6
			30s fiddle fader -6
			40s piano fader -10
			42s accordion fader -10
			44s fiddle fader -10
			60s end`, "open nudge, eased nudge"},
		{"kept for three minutes", `
			20s piano fader -6
			25s accordion fader -6
			30s fiddle fader -6
			209s end`, "open nudge"},
		{"and accepted", `
			20s piano fader -6
			25s accordion fader -6
			30s fiddle fader -6
			211s end`, "open nudge, eased nudge"},
		{"the song ends: silence takes nothing back", `
			20s piano fader -6
			25s accordion fader -6
			30s fiddle fader -6
			40s piano level -inf
			40s accordion level -inf
			40s fiddle level -inf
			40s lead level -inf
			90s end`, "open nudge"},
		{"but a trim made in silence does", `
			20s piano fader -6
			25s accordion fader -6
			30s fiddle fader -6
			40s piano level -inf
			40s accordion level -inf
			40s fiddle level -inf
			40s lead level -inf
			90s band fader -4
			100s end`, "open nudge, eased nudge"},
		{"the stage makes an open card no worse", `
			20s piano fader -6.5
			25s accordion fader -6.5
			30s fiddle fader -6.5
			40s piano level -8
			40s accordion level -8
			40s fiddle level -8
			90s end`, "open whisper"},
		{"the stage opens nothing", `
			20s piano fader -9
			25s accordion fader -9
			30s fiddle fader -9
			40s piano level 0
			40s accordion level 0
			40s fiddle level 0
			60s end`, ""},
		{"one has left, and three are lifted for it", `
			20s piano fader -9
			25s lead level -80
			29s accordion fader -8.5
			31s fiddle fader -8.5
			90s end`, ""},
		{"one has left, but most was raised before", `
			20s piano fader -7
			25s accordion fader -7
			30s lead level -80
			34s fiddle fader -8
			90s end`, "open whisper"},
		{"one has left who was raised with them", `
			15s lead fader -8.5
			20s piano fader -9
			25s lead level -80
			29s accordion fader -8.5
			31s fiddle fader -8.5
			90s end`, "open whisper"},
		{"one has left who alone was raised", `
			25s lead fader -8
			35s lead level -80
			39s piano fader -8.5
			41s accordion fader -8.5
			43s fiddle fader -8.5
			90s end`, ""},
		{"and comes back, as far up as he was raised, and they stay", `
			25s lead fader -8
			35s lead level -80
			39s piano fader -8.5
			41s accordion fader -8.5
			43s fiddle fader -8.5
			60s lead level -20
			90s end`, "open whisper"},
		{"and comes back, and they are taken down again", `
			20s piano fader -9
			25s lead level -80
			29s accordion fader -8.5
			31s fiddle fader -8.5
			50s lead level -20
			54s accordion fader -10
			57s fiddle fader -10
			90s end`, ""},
		{"and comes back, and they stay", `
			20s piano fader -8
			25s lead level -80
			29s accordion fader -8
			31s fiddle fader -8
			50s lead level -20
			90s end`, "open whisper"},
		{"nor do they wait for one who has not played yet", `
			16s piano fader -8
			25s lead level -80
			29s accordion fader -8
			31s fiddle fader -8
			50s lead level -20
			90s end`, "open whisper"},
		{"two, and the DCA that moves nobody else", `
			1s fiddle level -80
			1s harp level -20
			21s piano fader -6
			26s accordion fader -6
			30s band fader 3
			60s end`, ""},
		{"two, and a DCA that moves a third", `
			1s harp level -14
			21s piano fader -6
			26s accordion fader -6
			30s band fader 3
			60s end`, "open nudge"},
		{"a lift by a DCA first heard at unity", `
			20s band fader 2
			25s lead fader -8
			28s piano fader -8
			60s end`, "open whisper"},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, _ := serve(t, fourEqual+c.text)
			said = of(said, "ratchet")
			if got := tellings(said); got != c.want {
				t.Errorf("got %q, want %q: %+v", got, c.want, said)
			}
		})
	}
}

// TestRatchetOfADeskThatOnlySendsWhatMoves: nothing is known of a fader before
// it first moves, so its first move is where the measuring begins.
func TestRatchetOfADeskThatOnlySendsWhatMoves(t *testing.T) {
	head := strings.Join(strings.Split(fourEqual, "\n")[:8], "\n") + "\n"
	said, _ := serve(t, head+`
		10s piano fader -10
		12s accordion fader -10
		14s fiddle fader -10
		16s lead fader -10
		30s piano fader -6
		35s accordion fader -6
		40s fiddle fader -6
		60s end`)
	if got := tellings(said); got != "open nudge" {
		t.Fatalf("got %q, want one nudge", got)
	}
	if p := said[0].What[len(said[0].What)-1]; p.ID != "ratchet.on-faders" {
		t.Errorf("says %s, want that it judges by faders alone", ids(said[0]))
	}
}

// TestWayBack makes the trims that a card proposes and holds the total that comes
// out against the one it predicted.
func TestWayBack(t *testing.T) {
	for _, c := range []struct {
		name  string
		text  string
		trims string
	}{
		{"a DCA that covers", `
			20s piano fader -6
			25s accordion fader -6
			30s fiddle fader -6
			60s end`, "band 4.0 dB"},
		{"a DCA with too much else", `
			20s piano fader -5
			25s accordion fader -5.5
			30s lead fader -5
			60s end`, "piano 4.5 dB, lead 4.5 dB, accordion 4.5 dB"},
		{"a DCA that covers the most of it", `
			20s piano fader -4.5
			25s fiddle fader -9
			30s lead fader -9
			60s end`, "band 3.5 dB"},
		{"a raised DCA and an input in it: each once", `
			20s band fader 3
			22s piano fader -9
			25s fiddle fader -9
			30s lead fader -5
			60s end`, "band 3.0 dB, lead 5.0 dB"},
		{"never the main, which was raised as well", `
			20s piano fader -5
			25s main fader 2
			28s harp level -20
			28s accordion fader -6
			30s lead fader -5
			60s end`, "piano 5.0 dB, lead 5.0 dB, accordion 4.0 dB"},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, j := serve(t, fourEqual+c.text)
			if len(said) != 1 {
				t.Fatalf("%d findings, want one", len(said))
			}
			l := ledgerOf(j)
			w := l.wayBack()
			var trims []string
			for _, tr := range w.trims {
				trims = append(trims, fmt.Sprintf("%s %s", nameOf(j, tr.who), tr.by))
			}
			if got := strings.Join(trims, ", "); got != c.trims {
				t.Fatalf("trims %s, want %s", got, c.trims)
			}
			for _, tr := range w.trims {
				if movesGains(tr.who) && tr.by > l.limits.Trim || tr.who.Strip == desk.StripInput && tr.by > l.net(tr.who)+1e-9 {
					t.Errorf("%s down %v leads below where it began, or too far at once", nameOf(j, tr.who), tr.by)
				}
				signal := map[desk.Strip]desk.Signal{desk.StripInput: desk.InputFader, desk.StripDCA: desk.DCAFader}[tr.who.Strip]
				j.Hear(desk.Reading{At: j.at, Signal: signal, Index: tr.who.Index, Value: float64(l.Fader(tr.who) - tr.by)})
			}
			j.Advance(j.at + 2*time.Second)
			if got := j.Picture().Total; math.Abs(float64(got-w.total.then)) > 1e-6 {
				t.Errorf("total %v once trimmed, predicted %v", float64(got), float64(w.total.then))
			}
			if w.part > near {
				if then := said[0].Then.ID; then != "ratchet.then-listen" && then != "ratchet.then-rest" {
					t.Errorf("the faders still add %v, and nobody is told to listen again: %s", w.part, ids(said[0]))
				}
				return // nobody is led so far that nothing would be left
			}
			if w.part < -near {
				t.Errorf("the faders then take away %v, want about nothing", -w.part)
			}
			if got := tellings(onlyFindings(j)); got != "eased "+said[0].Weight.String() {
				t.Errorf("said %q once trimmed, want it eased", got)
			}
		})
	}
}

// TestTheWayBackIsRenewed: what is shown is the way back as it is after each move, and nothing is said
// of that.
func TestTheWayBackIsRenewed(t *testing.T) {
	for _, c := range []struct {
		name, move, tries string
		renewed           int
	}{
		{"nobody moves", "", "ratchet.try piano lead accordion", 0},
		{"who has no part in it", "70s harp fader -10.5", "ratchet.try piano lead accordion", 0},
		{"one comes back", "70s lead fader -10", "ratchet.try band", 1},
		{"one comes back in part, and then all of it", "70s lead fader -8\n72s lead fader -10", "ratchet.try band", 2},
		{"another goes up, by too little to be told", "70s fiddle fader -9", "ratchet.try-whole piano lead accordion", 1},
		{"another goes up, and they no longer stand out", "70s fiddle fader -5", "ratchet.try-back piano lead fiddle", 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, j := serve(t, fourEqual+`
				20s piano fader -5
				25s accordion fader -5.5
				30s lead fader -5
				`+c.move+`
				80s end`)
			if len(said) != 1 {
				t.Fatalf("said %q, want it told once", tellings(said))
			}
			p := j.Picture()
			on, l := cmp.Or(p.Card, p.Line), ledgerOf(j)
			w := l.wayBack()
			try, then := l.try(w)
			got := append([]Phrase{on.Try, on.Then}, phrases(on.Facts[len(on.Facts)-len(w.trims)-1:])...)
			if want := append([]Phrase{try, then}, phrases(l.backFacts(w))...); inTenths(got) != inTenths(want) {
				t.Errorf("shown is %+v, want %+v", got, want)
			}
			tries := []string{on.Try.ID}
			for _, t := range w.trims {
				tries = append(tries, nameOf(j, t.who))
			}
			if got := strings.Join(tries, " "); got != c.tries || on.Renewed != c.renewed {
				t.Errorf("%q, renewed %d times, want %q, %d times", got, on.Renewed, c.tries, c.renewed)
			}
			if coached := j.coach.trace(on.Number).Finding.Try; inTenths(coached) != inTenths(on.Try) {
				t.Errorf("whoever coaches sees %+v, want %+v", coached, on.Try)
			}
			if said[0].Renewed != 0 {
				t.Error("what was said is another than it was")
			}
		})
	}
}

// TestTheWayBackFromACreepIsRenewed as hands go on, also where so few are up that nothing more is said of it.
func TestTheWayBackFromACreepIsRenewed(t *testing.T) {
	rise := ""
	for n := range 15 {
		rise += fmt.Sprintf("%ds %s fader %g\n", 30+50*n, []string{"piano", "accordion", "lead"}[n%3], -10+0.8*float64(n/3+1))
	}
	for _, c := range []struct {
		name, moves string
		renewed     int // while it went up, and then
	}{
		{"nobody moves", "", 5},
		{"one comes back in part", "745s lead fader -8", 5 + 1},
		{"one comes back, and two are up", "745s lead fader -10\n746s accordion fader -9", 5 + 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, j := serve(t, fourEqual+rise+c.moves+"\n760s end")
			if creeps := of(said, "creep"); tellings(creeps) != "open whisper" {
				t.Fatalf("said %q, want it told once", tellings(creeps))
			}
			on, rule := j.Picture().Line, j.rules[1].rule.(*creep)
			v := j.view()
			l := rule.ledger(&v)
			w := l.wayBack()
			got, want := on.Facts[len(on.Facts)-len(w.trims)-1:], l.backFacts(w)
			if inTenths(phrases(got)) != inTenths(phrases(want)) || on.Renewed != c.renewed {
				t.Errorf("shown is %+v, renewed %d times, want %+v, %d times", phrases(got), on.Renewed, phrases(want), c.renewed)
			}
		})
	}
}

// inTenths is anything with its numbers to a tenth.
func inTenths(of any) string { return fmt.Sprintf("%.1f", of) }

func phrases(of []Fact) (all []Phrase) {
	for _, f := range of {
		all = append(all, f.Phrase)
	}
	return all
}

func TestAMuteInTheWayIsLeftAlone(t *testing.T) {
	j := newJudge(band(2, nil, nil))
	for _, r := range []desk.Reading{set(desk.InputFader, 0, -10), set(desk.InputFader, 1, -10), set(desk.InputMute, 0, 1)} {
		j.Hear(r)
	}
	v := j.view()
	e := &episode{known: time.Second}
	v.Balance(&e.base, time.Second)
	e.enter(&v, desk.Move{Mover: inputMover(0), Kind: desk.Lower, From: -5, To: -10})
	e.enter(&v, desk.Move{Mover: inputMover(1), Kind: desk.Lower, From: -5, To: -10})
	if e.base.Gain(0) != desk.Off || (e.base.Gain(1)+5).Abs() > 1e-9 {
		t.Errorf("gains before %v and %v, want the muted one closed and the other at -5 dB", e.base.Gain(0), e.base.Gain(1))
	}
}

func ledgerOf(j *Judge) *ledger {
	v := j.view()
	return j.rules[0].rule.(*ratchet).ledger(&v)
}

func nameOf(j *Judge, m desk.Mover) string { return j.who(m).Name }

func onlyFindings(j *Judge) []*Finding { return said(j) }

// TestWayBackWithNobodyToTrim: raises of groups and of the main alone leave no
// fader to propose, and the card must still have something to say.
func TestWayBackWithNobodyToTrim(t *testing.T) {
	_, j := serve(t, fourEqual+"20s piano fader -8\n25s end")
	l := ledgerOf(j)
	for _, ups := range [][]desk.Mover{nil, {{Strip: desk.StripMain, Index: 0}}, {{Strip: desk.StripGroup, Index: 0}, {Strip: desk.StripMain, Index: 0}}} {
		l.ups = ups
		if w := l.byFaders(); w.trims != nil {
			t.Errorf("ups %v: trims %v, want none", ups, w.trims)
		}
		if s := l.opened(); s.Try.ID != "ratchet.try-each" || len(s.What) == 0 {
			t.Errorf("ups %v: %+v, try %+v", ups, s.What, s.Try)
		}
	}
}

func TestWhatTheCardSays(t *testing.T) {
	for _, c := range []struct {
		name, text, want string
	}{
		{"one balance, louder", `
			20s band fader 4
			25s lead fader -6
			28s harp level -80
			30s piano fader -9
			60s end`, "ratchet.raised ratchet.split ratchet.same ratchet.try-back ratchet.then"},
		{"the stage quieter", `
			20s piano fader -6
			20s piano level -30
			25s accordion fader -6
			25s accordion level -30
			27s lead level -30
			27s fiddle level -26
			45s lead fader -6
			60s end`, "ratchet.raised ratchet.split ratchet.stands ratchet.try-later"},
		{"two trims", `
			20s piano fader -5
			25s fiddle fader -9
			30s lead fader -5
			60s end`, "ratchet.raised ratchet.split ratchet.stands ratchet.try ratchet.then"},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, _ := serve(t, fourEqual+c.text)
			if len(said) == 0 {
				t.Fatal("nothing was said")
			}
			if got := ids(said[len(said)-1]); got != c.want {
				t.Errorf("says %s, want %s", got, c.want)
			}
		})
	}
	said, _ := serve(t, fourEqual+"20s band fader 4\n25s lead fader -6\n30s piano fader -9\n60s end")
	f := said[len(said)-1]
	if by := figure(t, f.What[2], "by"); f.What[2].ID != "ratchet.same" || desk.DB(by).Shown() != 4.3 {
		t.Errorf("the same balance is %.2f dB louder, want 4.3", by)
	}
}
