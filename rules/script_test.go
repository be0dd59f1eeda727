package rules

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pawl/rules/desk"
)

// WantLine parts a written service from what is to be said of it.
const WantLine = "-- want --\n"

// ScriptOf reads a written service.
func ScriptOf(t *testing.T, path, text string) Script {
	t.Helper()
	s := Script{t: t, path: path, Limits: DefaultLimits()}
	for i, line := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		s.line = i + 1
		if line, _, _ = strings.Cut(line, "#"); strings.TrimSpace(line) != "" {
			s.read(strings.Fields(line))
		}
	}
	slices.SortStableFunc(s.Readings, func(a, b desk.Reading) int { return cmp.Compare(a.At, b.At) })
	return s
}

// Script is a written service: first its limits, `limit SECTION NAME VALUE`, if they are not
// the defaults, and `stale TIME` after how long without a line the desk counts as quiet, if it
// ever does; then the roster, one `input NAME ELEMENT [voice] [mic] [cue]
// [nowhere] [dca=NAME] [group=NAME]`, `dca NAME` or `group NAME` a line; then what is heard,
// as `TIME WHO WHAT VALUE [over TIME]`, `TIME WHO speaks LEVEL over TIME [as WHO]` or
// `TIME press WHAT [NUMBER or KIND]`, and last `TIME end`.
type Script struct {
	t        *testing.T
	path     string
	line     int
	At       time.Duration // of its end
	Roster   desk.Roster
	Readings []desk.Reading
	Presses  []TimedPress
	Limits   Limits
	Stale    time.Duration
}

func (s *Script) failf(format string, args ...any) {
	s.t.Helper()
	s.t.Fatalf("%s:%d: %s", s.path, s.line, fmt.Sprintf(format, args...))
}

func (s *Script) read(w []string) {
	switch w[0] {
	case "limit":
		s.limit(w)
	case "stale":
		s.stale(w)
	case "dca":
		s.Roster.DCAs = append(s.Roster.DCAs, w[1])
	case "group":
		s.Roster.Groups = append(s.Roster.Groups, w[1])
	case "input":
		s.input(w)
	default:
		s.event(w)
	}
}

func (s *Script) input(w []string) {
	s.t.Helper()
	if len(w) < 3 {
		s.failf("%q; want input NAME ELEMENT [voice] [mic] [cue] [nowhere] [dca=NAME] [group=NAME]", strings.Join(w, " "))
	}
	var element desk.Element
	if err := element.UnmarshalText([]byte(w[2])); err != nil {
		s.failf("%v", err)
	}
	in := desk.Input{Name: w[1], Element: element, Main: true}
	for _, member := range w[3:] {
		what, name, _ := strings.Cut(member, "=")
		switch what {
		case "voice":
			in.Voice = true
		case "mic":
			in.Mic = true
		case "cue":
			in.Cue = true
		case "nowhere":
			in.Main = false
		case "dca":
			in.DCAs = append(in.DCAs, s.index(s.Roster.DCAs, name))
		case "group":
			in.Groups, in.Main = append(in.Groups, s.index(s.Roster.Groups, name)), false
		default:
			s.failf("%q is not voice, mic, cue, nowhere, dca= or group=", member)
		}
	}
	s.Roster.Inputs = append(s.Roster.Inputs, in)
}

// limit sets one: `limit SECTION NAME VALUE`, in the unit of the limit.
func (s *Script) limit(w []string) {
	s.t.Helper()
	if len(w) != 4 {
		s.failf("%q; want limit SECTION NAME VALUE", strings.Join(w, " "))
	}
	of := reflect.ValueOf(&s.Limits).Elem()
	for _, name := range w[1:3] {
		i := 0
		for i < of.NumField() && of.Type().Field(i).Tag.Get("yaml") != name {
			i++
		}
		if i == of.NumField() {
			s.failf("no limit %s %s", w[1], w[2])
		}
		of = of.Field(i)
	}
	switch of.Kind() {
	case reflect.String:
		of.SetString(w[3])
	case reflect.Float64:
		v, err := strconv.ParseFloat(w[3], 64)
		if err != nil {
			s.failf("%v", err)
		}
		of.SetFloat(v)
	default:
		s.failf("a limit of the kind %v cannot be set here yet", of.Kind())
	}
}

// stale sets when the desk counts as quiet.
func (s *Script) stale(w []string) {
	s.t.Helper()
	var err error
	if len(w) != 2 {
		s.failf("%q; want stale TIME", strings.Join(w, " "))
	}
	if s.Stale, err = time.ParseDuration(w[1]); err != nil {
		s.failf("%v", err)
	}
}

// index finds one that was named above.
func (s *Script) index(among []string, name string) int {
	i := slices.Index(among, name)
	if i < 0 {
		s.failf("nothing above is called %q", name)
	}
	return i
}

func (s *Script) event(w []string) {
	at, err := time.ParseDuration(w[0])
	if err != nil {
		s.failf("%v", err)
	}
	if at < s.At {
		s.failf("%v is before the line above", at)
	}
	s.At = at
	if len(w) == 2 && w[1] == "end" {
		return
	}
	if w[1] == "press" {
		s.press(w[2:])
		return
	}
	if w[2] == "speaks" {
		s.speaks(w)
		return
	}
	if len(w) != 4 && (len(w) != 6 || w[4] != "over") {
		s.failf("%d words; want TIME WHO WHAT VALUE [over TIME]", len(w))
	}
	strip, index := s.who(w[1])
	signal, ok := desk.SignalNamed(strip.String() + "." + w[2])
	if !ok {
		s.failf("no signal %s.%s", strip, w[2])
	}
	value, err := strconv.ParseFloat(w[3], 64)
	if err != nil {
		s.failf("%v", err)
	}
	r := desk.Reading{At: at, Signal: signal, Index: index, Value: value}
	if len(w) == 4 {
		s.Readings = append(s.Readings, r)
		return
	}
	over, err := time.ParseDuration(w[5])
	if err != nil {
		s.failf("%v", err)
	}
	s.glide(r, over)
}

// glide adds thirty steps a second from the last value to this one.
func (s *Script) glide(to desk.Reading, over time.Duration) {
	from := math.NaN()
	for _, r := range s.Readings {
		if r.Signal == to.Signal && r.Index == to.Index {
			from = r.Value
		}
	}
	if math.IsNaN(from) {
		s.failf("nothing to glide from")
	}
	n := max(int(over.Seconds()*30), 1)
	for i := 1; i <= n; i++ {
		r := to
		r.At += over * time.Duration(i) / time.Duration(n)
		r.Value = from + (to.Value-from)*float64(i)/float64(n)
		s.Readings = append(s.Readings, r)
	}
}

// speaks adds the level of a voice twenty times a second: syllables, a pause for breath
// now and then, and a little of its own at each microphone. As somebody else, it is
// that one's voice that this microphone hears.
func (s *Script) speaks(w []string) {
	if len(w) != 6 && (len(w) != 8 || w[6] != "as") {
		s.failf("%d words; want TIME WHO speaks LEVEL over TIME [as WHO]", len(w))
	}
	speaker := w[1]
	if len(w) == 8 {
		speaker = w[7]
	}
	_, index := s.who(w[1])
	_, voice := s.who(speaker)
	level, err := strconv.ParseFloat(w[3], 64)
	over, err2 := time.ParseDuration(w[5])
	if err != nil || err2 != nil {
		s.failf("%v %v", err, err2)
	}
	for d := time.Duration(0); d < over; d += 50 * time.Millisecond {
		at := s.At + d
		syllable := 14*chance(voice, int64(at/(150*time.Millisecond))) - 10
		if at%(4*time.Second) > 3600*time.Millisecond {
			syllable = -30 // for breath
		}
		own := 2*chance(100+index, int64(at/(50*time.Millisecond))) - 1
		s.Readings = append(s.Readings, desk.Reading{At: at, Signal: desk.InputLevel, Index: index, Value: max(level+syllable, -62) + own})
	}
	s.Readings = append(s.Readings, desk.Reading{At: s.At + over, Signal: desk.InputLevel, Index: index, Value: -62})
}

// chance is a number from 0 to 1 that looks random (the finaliser of SplitMix64).
func chance(who int, n int64) float64 {
	z := uint64(who+1)*0xd1342543de82ef95 + uint64(n)*0x2545f4914f6cdd1d
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return float64((z^z>>31)>>11) / (1 << 53)
}

func (s *Script) who(name string) (desk.Strip, int) {
	if name == "scene" {
		return desk.StripScene, 0
	}
	if name == "room" {
		return desk.StripRoom, 0
	}
	if name == "main" {
		return desk.StripMain, 0
	}
	for i, in := range s.Roster.Inputs {
		if in.Name == name {
			return desk.StripInput, i
		}
	}
	if i := slices.Index(s.Roster.DCAs, name); i >= 0 {
		return desk.StripDCA, i
	}
	i := slices.Index(s.Roster.Groups, name)
	if i < 0 {
		s.failf("nobody is called %q", name)
	}
	return desk.StripGroup, i
}

// TimedPress is a press and when it was made.
type TimedPress struct {
	At time.Duration
	Press
}

func (s *Script) press(w []string) {
	p := TimedPress{At: s.At, Press: Press{Do: Do(w[0])}}
	if p.Do == NewSegment && len(w) > 1 {
		p.Kind = desk.SegmentKind(w[1])
	} else if len(w) > 1 {
		n, err := strconv.Atoi(w[1])
		if err != nil {
			s.failf("%v", err)
		}
		p.Number = n
	}
	s.Presses = append(s.Presses, p)
}

// Play gives the service to a judge, presses after the readings of their moment,
// and lets time pass to its end.
func (s *Script) Play(j *Judge) {
	presses := s.Presses
	until := func(at time.Duration) {
		for ; len(presses) > 0 && presses[0].At < at; presses = presses[1:] {
			j.Advance(presses[0].At)
			if err := j.Press(presses[0].Press); err != nil {
				s.failf("%v: %v", presses[0].At, err)
			}
		}
	}
	for _, r := range s.Readings {
		until(r.At)
		j.Alive(r.At)
		j.Hear(r)
	}
	until(s.At + 1)
	j.Advance(s.At)
}
