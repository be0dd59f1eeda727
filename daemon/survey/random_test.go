package survey

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// inventedDesk is a desk of an accidental dialect: how its strips are addressed, how
// a fader's gain becomes a number, how a mute is said. What it sends is heard by
// survey.
type inventedDesk struct {
	t      *testing.T
	r      *rand.Rand
	survey *Survey
	now    time.Duration

	address [4]func(n int, what string) (string, []any) // by strip
	number  func(db float64) any
	quiet   func(muted bool) any
	masked  bool
	n       [4]int

	gains [4][]float64
	muted [4][]bool
}

func invent(t *testing.T, seed uint64) *inventedDesk {
	d := &inventedDesk{t: t, r: rand.New(rand.NewPCG(seed, 9)), survey: New(Options{})}
	d.n = [4]int{6 + d.r.IntN(30), 2 + d.r.IntN(5), 8 + d.r.IntN(2), 1}
	if d.r.IntN(2) == 0 {
		d.n[groupStrip] = 2 + d.r.IntN(3)
	}
	words := []string{"/row", "/lead", "/fold", "/end"}
	form, from := d.r.IntN(4), d.r.IntN(2)
	for s := range d.address {
		d.address[s] = func(n int, what string) (string, []any) {
			switch {
			case strip(s) == mainStrip:
				return words[s] + "/" + what, nil
			case form == 0:
				return fmt.Sprintf("%s/%d/%s", words[s], n+from, what), nil
			case form == 1:
				return fmt.Sprintf("%s%02d/%s", words[s], n+from, what), nil
			case form == 2:
				return fmt.Sprintf("%s/%s", words[s], what), []any{n + from}
			}
			return fmt.Sprintf("/all/%03d/%s", 1+200*s+n, what), nil
		}
		for range d.n[s] {
			d.gains[s] = append(d.gains[s], 0)
			d.muted[s] = append(d.muted[s], false)
		}
	}
	d.number = []func(float64) any{
		func(db float64) any { return float32(max(db, -130)) },
		func(db float64) any { return int(max(db, -200) * 100) },
		func(db float64) any { return float32(math.Pow(10, db/20)) },
		func(db float64) any { return math.Pow(10, (db-10)/50) },
		func(db float64) any { return int(1000 * math.Pow(10, (db-10)/80)) },
		func(db float64) any {
			if math.IsInf(db, -1) {
				return "-inf"
			}
			return fmt.Sprintf("%.1f dB", db)
		},
	}[d.r.IntN(6)]
	d.quiet = []func(bool) any{
		func(m bool) any { return m },
		func(m bool) any { return !m },
		func(m bool) any { return map[bool]int{true: 1}[m] },
		func(m bool) any { return map[bool]int{false: 127}[m] },
		func(m bool) any { return map[bool]string{true: "zu", false: "auf"}[m] },
		func(m bool) any { return map[bool]string{true: "off", false: "On"}[m] },
	}[d.r.IntN(6)]
	d.masked = d.r.IntN(4) == 0 && d.n[inputStrip] < 32
	return d
}

func (d *inventedDesk) say(address string, args ...any) []byte {
	packet, err := wire.AppendMessage(nil, address, args...)
	if err != nil {
		d.t.Fatal(err)
	}
	d.survey.Hear(d.now, packet)
	return packet
}

func (d *inventedDesk) fader(s strip, n int) []byte {
	address, args := d.address[s](n, "at")
	return d.say(address, append(args, d.number(d.gains[s][n]))...)
}

func (d *inventedDesk) mute(s strip, n int) []byte {
	if d.masked && s != mainStrip {
		bits := 0
		for i, m := range d.muted[s] {
			if m && i < 31 {
				bits |= 1 << i
			}
		}
		return d.say("/cuts/"+s.String(), bits)
	}
	address, args := d.address[s](n, "cut")
	return d.say(address, append(args, d.quiet(d.muted[s][n]))...)
}

// pass lets some time go by, with the meters moving and others chattering in words
// that no map can hold.
func (d *inventedDesk) pass(tenths int) {
	for range tenths {
		d.now += 100 * time.Millisecond
		for n := range d.n[inputStrip] {
			address, args := d.address[inputStrip](n, "now")
			d.say(address, append(args, float32(-20+5*d.r.NormFloat64()))...)
		}
		d.say("/clock {and} #1", int(d.now/time.Second))
		d.say(fmt.Sprintf("/odd, %c[\"", rune('a'+d.r.IntN(4))), "\\ \"'\x01:", nil)
	}
}

func (d *inventedDesk) dump() {
	for s := inputStrip; s <= mainStrip; s++ {
		for n := range d.n[s] {
			d.fader(s, n)
			d.mute(s, n)
		}
	}
}

// guide answers every question with the move it asks for.
func (d *inventedDesk) guide() *Guide {
	g := d.survey.Guide()
	marks := []float64{-5, -10, -20, -30, -40, -50}
	for g.Question() != "" {
		q, typed := g.queue[0], ""
		db := map[act]float64{bottom: math.Inf(-1), top: 10}[q.act]
		switch {
		case q.act == mark && q.strip == mainStrip:
			db = -10
		case q.act == mark && len(marks) == 0:
			db = math.NaN()
		case q.act == mark:
			db, marks = marks[0], marks[1:]
			typed = fmt.Sprint(db)
		case q.act == top:
			typed = "10"
		}
		switch {
		case q.act.isFader() && db == db:
			d.gains[q.strip][0] = db
			d.fader(q.strip, 0)
		case q.act == mute, q.act == unmute:
			d.muted[q.strip][0] = q.act == mute
			d.mute(q.strip, 0)
		}
		d.pass(40)
		g.Answer(typed)
	}
	return g
}

// TestInventedDesks drafts maps of desks whose dialects are put together by
// accident, and hears their faders and mutes by them. What the draft does not hear,
// it must say.
func TestInventedDesks(t *testing.T) {
	for seed := range uint64(40) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			d := invent(t, seed)
			d.pass(5)
			d.dump()
			d.pass(40)
			g := d.guide()
			draft := d.survey.Draft(g, DraftOptions{})
			m := checked(t, draft)
			h := m.NewHearer()
			for s := inputStrip; s <= mainStrip; s++ {
				n := d.r.IntN(d.n[s])
				d.gains[s][n], d.muted[s][n] = -12.5, true
				d.hears(h, d.fader(s, n), faderSignals[s], n, -12.5, 0.7, draft)
				d.hears(h, d.mute(s, n), muteSignals[s], n, 1, 0, draft)
			}
		})
	}
}

var (
	faderSignals = [...]desk.Signal{desk.InputFader, desk.DCAFader, desk.GroupFader, desk.MainFader}
	muteSignals  = [...]desk.Signal{desk.InputMute, desk.DCAMute, desk.GroupMute, desk.MainMute}
)

// hears wants the value among the readings of a packet.
func (d *inventedDesk) hears(h *oscmap.Hearer, packet []byte, s desk.Signal, n int, want, within float64, draft string) {
	d.t.Helper()
	var r wire.Reader
	r.Reset(packet)
	r.Next()
	for k, got := range readings(h, 0, r.Message()) {
		if k.signal == s && k.index == n && math.Abs(got.Value-want) <= within {
			return
		}
	}
	d.t.Errorf("%s of strip %d is not heard as %v from %s %q; heard %v\n%s", s, n+1, want, r.Message().Address, r.Message().Tags,
		readings(h, 0, r.Message()), draft)
}
