package listen

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/netip"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/survey"
	"pawl/dashboard"
	"pawl/dashboard/keys"
	"pawl/rules"
)

// PageOptions are what Serve is given besides the Listener's own Options.
type PageOptions struct {
	// Says is what a problem of the link is called on the page, in the reader's language.
	Says func(link.Problem) rules.Phrase

	// At is where the page is served, as "127.0.0.1:10780"; the house file is given the same.
	// Opened, if not nil, is told where that is once it is open.
	At     string
	Opened func(address string)

	// Keys are those of other screens than this machine's, which need an installer's.
	Keys *keys.File

	// Tablets are the addresses for such screens, of a page that listens at one; Opened is told
	// it too.
	Tablets func(address string) []string

	// Log is that of the page's server.
	Log *slog.Logger
}

// Serve asks the questions on a page instead of a terminal, until the draft of the map and of
// the house file are written, and gives the house file's name then; or until ctx ends, with
// "". Call it once, instead of Run, on a Listener that has a Draft and a DraftHouse and no
// Capture.
func (l *Listener) Serve(ctx context.Context, o PageOptions) (houseFile string, err error) {
	on, err := dashboard.Listen(o.At)
	if err != nil {
		return "", err
	}
	if strings.HasSuffix(o.At, ":0") {
		o.At = on.Addr().String() // a free port, which the house file keeps
	}
	if o.Opened != nil {
		o.Opened(on.Addr().String())
	}
	ctx, stop := context.WithCancel(ctx)
	p := &onPage{Listener: l, options: o, presses: make(chan firstPress)}
	p.publish()
	page := dashboard.New(dashboard.Options{
		First: func() dashboard.First { return *p.newest.Load() }, PressFirst: func(f dashboard.FirstPress) error { return p.press(ctx, f) },
		Keys: o.Keys, Tablets: func() []string {
			if o.Tablets == nil {
				return nil
			}
			return o.Tablets(on.Addr().String())
		}, Log: o.Log,
	})
	var run sync.WaitGroup
	var linkErr, pageErr error
	run.Go(func() {
		defer stop()
		linkErr = l.link.Run(ctx)
	})
	run.Go(func() {
		defer stop()
		pageErr = page.Serve(ctx, on, nil)
	})
	p.loop(ctx)
	stop()
	run.Wait()
	switch {
	case linkErr != nil:
		return "", linkErr
	case pageErr != nil:
		return "", fmt.Errorf("serve the page: %w", pageErr)
	case p.written:
		return l.options.DraftHouse, nil
	case p.naming && p.told == 0:
		return "", errors.New("nothing could be told for certain, so no map is written")
	}
	return "", nil
}

// onPage is a Listener whose questions are on a page. One goroutine, the loop, owns it.
type onPage struct {
	*Listener
	options PageOptions
	newest  atomic.Pointer[dashboard.First]
	presses chan firstPress

	said    []rules.Phrase
	text    string // of the map, once all is asked
	strips  survey.Strips
	told    int
	naming  bool
	written bool
}

// firstPress is a press on its way to the loop.
type firstPress struct {
	dashboard.FirstPress
	answer chan<- error
}

// showEvery is the page's beat: a fader on it moves as the hand does.
const showEvery = 200 * time.Millisecond

// leaveAfter is how long the page stays after the files are written, so that every screen
// hears of it.
const leaveAfter = 2 * time.Second

func (p *onPage) press(ctx context.Context, f dashboard.FirstPress) error {
	answer := make(chan error, 1)
	select {
	case p.presses <- firstPress{f, answer}:
		return <-answer
	case <-ctx.Done():
		return rules.Refuse("refused.busy")
	}
}

func (p *onPage) loop(ctx context.Context) {
	show := time.NewTicker(showEvery)
	defer show.Stop()
	var packets []link.Packet
	var over <-chan time.Time
	for {
		select {
		case <-ctx.Done():
			return
		case <-over:
			return
		case <-p.link.Ready():
			packets = p.take(packets)
			continue // the page has a beat of its own
		case <-show.C:
			p.survey.Elapse(p.Listener.options.Clock.Now())
		case f := <-p.presses:
			packets = p.take(packets)
			f.answer <- p.do(f.FirstPress)
			if p.written && over == nil {
				over = time.After(leaveAfter)
			}
		}
		p.publish()
	}
}

// do obeys a press, or says why not.
func (p *onPage) do(f dashboard.FirstPress) error {
	switch {
	case f.Do == "write":
		return p.write(f)
	case f.Do == "begin" && p.guide == nil:
		if p.survey.Counts().Messages == 0 {
			return rules.Refuse("refused.first-nothing")
		}
		p.guide, p.said = p.survey.Guide(), nil
	case f.Do == "answer" && p.guide != nil && !p.naming:
		p.said = p.guide.Tell(f.Text)
		if p.guide.Question() == "" {
			return p.name()
		}
	case f.Do == "answer" && p.naming && f.Text == "back":
		p.naming = false
		p.guide.Reopen()
		p.said = nil
	default:
		return rules.Refuse("refused.first-elsewhere")
	}
	return nil
}

// name makes the map, and with it the list of strips to look through.
func (p *onPage) name() error {
	text, m, err := p.draft()
	if err != nil {
		return err
	}
	if m == nil {
		p.naming, p.text, p.strips, p.told = true, text, survey.Strips{}, 0
		return nil
	}
	p.naming, p.text, p.strips, p.told = true, text, p.survey.Strips(m), len(m.Heard())
	return nil
}

// write makes the files of what was looked through.
func (p *onPage) write(f dashboard.FirstPress) error {
	if !p.naming || p.written {
		return rules.Refuse("refused.first-elsewhere")
	}
	if len(p.strips.Inputs) == 0 {
		return rules.Refuse("refused.first-no-inputs")
	}
	st := p.strips
	st.Inputs = slices.Clone(st.Inputs)
	right := map[int]string{}
	for _, row := range f.Inputs {
		i := slices.IndexFunc(st.Inputs, func(in survey.Member) bool { return in.Number == row.Number })
		if i < 0 {
			continue
		}
		if name := strings.TrimSpace(row.Name); name != "" {
			st.Inputs[i].Name = name
		}
		if row.Right && st.Inputs[i].Guess != "" {
			right[row.Number] = st.Inputs[i].Guess
		}
	}
	st.Distinct()
	text := st.House(survey.HouseOptions{House: strings.TrimSpace(f.Text), Desk: p.deskAt(), Map: p.mapBeside(), Page: p.options.At}, right)
	// Before anything is on the disk it is read as it will be.
	files := house.Files{filepath.Base(p.mapBeside()): p.text, "house.yaml": text}
	if h, faults := files.Load("house.yaml"); h == nil {
		return faults
	}
	if err := writeNew(p.Listener.options.Draft, p.text); err != nil {
		return err
	}
	if err := writeNew(p.Listener.options.DraftHouse, text); err != nil {
		return err
	}
	p.written = true
	return nil
}

// publish makes the newest picture.
func (p *onPage) publish() {
	s := p.link.Status()
	now := p.Listener.options.Clock.Now()
	c := p.survey.Counts()
	f := &dashboard.First{
		T: now.Seconds(), Stage: dashboard.FirstListening, Messages: c.Messages, SendTo: sendTo(s.Local),
		Told: p.told, Map: p.Listener.options.Draft, House: p.Listener.options.DraftHouse,
		Link: dashboard.Link{Desk: p.desk, Packets: s.Packets, Phase: dashboard.Hearing},
	}
	if s.Packets > 0 {
		f.Link.Age = max(0, (now - s.LastHeard).Seconds())
	}
	age := rules.Figure{Name: "age", Value: f.Link.Age, Unit: rules.Seconds}
	switch {
	case s.Phase == link.Quiet:
		f.Link.Phase, f.Link.Says = dashboard.Quiet, rules.Say("link.quiet", age)
	case s.Phase == link.Waiting && s.Problem.Kind != link.NoProblem:
		f.Link.Phase, f.Link.Says = dashboard.Waiting, p.options.Says(s.Problem)
	case s.Phase == link.Waiting:
		f.Link.Phase, f.Link.Says = dashboard.Waiting, rules.Say("link.starting")
	default:
		f.Link.Says = rules.Say("link.heard", age)
	}
	f.Says = survey.OnPage(p.said)
	for _, m := range p.survey.Moving(2 * time.Second) {
		f.Moving = append(f.Moving, dashboard.FirstMoved{Moved: m.What, At: m.To})
	}
	switch {
	case p.written:
		f.Stage = dashboard.FirstDone
	case p.naming:
		f.Stage = dashboard.FirstNaming
	case p.guide != nil:
		f.Stage = dashboard.FirstAsking
	}
	if p.guide != nil {
		a := p.guide.Asks()
		f.Ask = survey.OnPage(p.guide.Ask())
		f.Asks = dashboard.FirstAsks{Number: a.Number, Nothing: a.Nothing, None: a.None, Back: a.Back, Wrong: a.Wrong, Done: a.Done, ToCome: a.ToCome}
		for _, fader := range p.guide.Faders() {
			f.Faders = append(f.Faders, dashboard.FirstFader(fader))
		}
	}
	if p.naming {
		for _, in := range p.strips.Inputs {
			f.Inputs = append(f.Inputs, dashboard.FirstInput{Number: in.Number, Name: in.Name, Guess: in.Guess, By: in.By})
		}
		f.DCAs, f.Groups = p.strips.DCAs, p.strips.Groups
	}
	p.newest.Store(f)
}

// sendTo are the addresses of this machine that a desk may be told to send to.
func sendTo(local netip.AddrPort) (all []string) {
	if !local.IsValid() {
		return nil
	}
	for _, ip := range link.Addresses() {
		all = append(all, netip.AddrPortFrom(ip, local.Port()).String())
	}
	return all
}
