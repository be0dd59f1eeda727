package practicetest

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"gopkg.in/yaml.v3"

	"pawl/daemon/practice"
)

// Labelled is one service of testdata/yardstick and what a careful engineer says
// of it. House has the files of its Hall.
type Labelled struct {
	*practice.Script
	Labels
}

// Labels is a file NAME.labels.yaml; testdata/yardstick/README.md tells what each
// line means. Times are the service's own.
type Labels struct {
	Parts []Part  // the service's parts in order, the first from 0
	Say   []Due   // what ought to be said; empty where nothing may be
	May   []Fair  // what is no fault if it is said, and none if it is not
	Never []Wrong // what looks like something and is nothing
}

// Part is a stretch of the service, up to the next.
type Part struct {
	From time.Duration
	Is   string // one of PartKinds
	Name string
}

// Due is one thing that ought to be said.
type Due struct {
	What  string   // one of Notices
	Or    []string // others of Notices: names for the same thing that do as well
	About []string // strips; empty where it is about all of them

	// To say it before Fair would be guessing; a careful engineer says it at
	// Careful; after Latest it is of no more use.
	Fair, Careful, Latest time.Duration

	How string // "whisper", "nudge" or "now"
	Why string
}

// Fair is one thing that may be said, up to Until, or to the end where that is 0.
type Fair struct {
	What        string
	About       []string
	From, Until time.Duration
	Why         string
}

// Wrong is one thing that must not be said, up to Until, or to the end where that
// is 0. What is one of Notices or "anything".
type Wrong struct {
	What        string
	About       []string
	From, Until time.Duration
	Why         string
}

// PartKinds are the words for what a part is.
var PartKinds = []string{"music", "speech", "speech over music", "quiet", "applause", "sound check"}

// Notices are the words for what there is to notice, in the order of the README.
var Notices = []string{
	"ratchet", "creep", "compressor too hard", "compressor never lets go", "main down", "muted mic", "click in main",
	"lead lost", "harmony over lead", "fill over lead", "second rhythm", "everybody at once", "raised in solo",
	"hot input", "hot main", "nothing leaves", "more open mics", "input too hard", "open in speech",
}

// SecondOpinions are the labels that others gave to a service besides whoever wrote it: none
// where nobody was asked. The error joins the faults of all, each with its file.
func SecondOpinions(l Labelled) (all []Labels, err error) {
	files, err := filepath.Glob(testdata("second-opinions", "*", l.Name+".labels.yaml"))
	if err != nil {
		return nil, err
	}
	var faults []error
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		labels, err := parseLabels(file, src, l.Length, l.Hall())
		faults = append(faults, err)
		all = append(all, labels)
	}
	return all, errors.Join(faults...)
}

// Yardsticks are the sets of labelled services there are, each a folder of testdata, the
// oldest first.
func Yardsticks() ([]string, error) {
	folders, err := filepath.Glob(testdata("yardstick*"))
	for i, f := range folders {
		folders[i] = filepath.Base(f)
	}
	slices.SortFunc(folders, func(a, b string) int { // yardstick10 comes after yardstick9
		return cmp.Or(cmp.Compare(len(a), len(b)), strings.Compare(a, b))
	})
	return folders, err
}

// Yardstick is every labelled service of a set in order of name. The error joins the
// faults of all scripts and labels, each with its file.
func Yardstick(set string) ([]Labelled, error) {
	files, err := filepath.Glob(testdata(set, "*.txt"))
	if err != nil {
		return nil, err
	}
	var all []Labelled
	var faults []error
	for _, file := range files {
		l, err := readLabelled(file)
		faults = append(faults, err)
		all = append(all, l)
	}
	if err := errors.Join(faults...); err != nil {
		return nil, err
	}
	return all, nil
}

func readLabelled(file string) (l Labelled, err error) {
	src, err := os.ReadFile(file)
	if err != nil {
		return l, err
	}
	if l.Script, err = practice.ParseScript(filepath.Base(file), src); err != nil {
		return l, err
	}
	file = strings.TrimSuffix(file, ".txt") + ".labels.yaml"
	if src, err = os.ReadFile(file); err != nil {
		return l, err
	}
	l.Labels, err = parseLabels(filepath.Base(file), src, l.Length, l.Hall())
	return l, err
}

// ParseLabels reads a file of labels for a service of that length in Harbour Hall. The
// file's name is for messages only. The error joins every fault.
func ParseLabels(file string, src []byte, length time.Duration) (Labels, error) {
	return parseLabels(file, src, length, practice.Halls()[0])
}

func parseLabels(file string, src []byte, length time.Duration, in *practice.Hall) (Labels, error) {
	var l Labels
	d := yaml.NewDecoder(bytes.NewReader(src))
	d.KnownFields(true)
	if err := d.Decode(&l); err != nil {
		return l, fmt.Errorf("%s: %w", file, err)
	}
	c := labelCheck{file: file, length: length, strips: stripNames(in)}
	c.parts(l.Parts)
	for i, s := range l.Say {
		c.at = fmt.Sprintf("say[%d]", i)
		c.word(s.What, Notices)
		c.about(s.About)
		for _, word := range s.Or {
			c.word(word, Notices)
		}
		c.word(s.How, []string{"whisper", "nudge", "now"})
		c.order(s.Fair, s.Careful, s.Latest)
		c.reason(s.Why)
	}
	for i, m := range l.May {
		c.at = fmt.Sprintf("may[%d]", i)
		c.remark(m, Notices)
	}
	for i, n := range l.Never {
		c.at = fmt.Sprintf("never[%d]", i)
		c.remark(Fair(n), append([]string{"anything"}, Notices...))
	}
	if len(l.Say)+len(l.Never) == 0 {
		c.fault("nothing to say and nothing to keep quiet about; want say or never")
	}
	return l, errors.Join(c.faults...)
}

// labelCheck gathers what is wrong with a file of labels.
type labelCheck struct {
	file, at string
	length   time.Duration
	strips   []string
	faults   []error
}

func (c *labelCheck) fault(format string, args ...any) {
	c.faults = append(c.faults, fmt.Errorf("%s: %s: %s", c.file, c.at, fmt.Sprintf(format, args...)))
}

func (c *labelCheck) word(got string, want []string) {
	if !slices.Contains(want, got) {
		c.fault("%q is not understood; want one of %s", got, strings.Join(want, ", "))
	}
}

func (c *labelCheck) reason(why string) {
	if why == "" {
		c.fault("no why; a label without a reason cannot be argued with")
	}
}

func (c *labelCheck) remark(f Fair, words []string) {
	c.word(f.What, words)
	c.about(f.About)
	if f.Until != 0 {
		c.order(f.From, f.Until)
	} else {
		c.order(f.From)
	}
	c.reason(f.Why)
}

// order asks that times rise, from 0 to the service's end.
func (c *labelCheck) order(times ...time.Duration) {
	before := time.Duration(-1)
	for _, t := range times {
		if t <= before || t > c.length {
			c.fault("%v is out of order, or no time of a service of %v: %v", t, c.length, times)
			return
		}
		before = t
	}
}

func (c *labelCheck) parts(parts []Part) {
	c.at = "parts"
	var from []time.Duration
	for _, p := range parts {
		c.word(p.Is, PartKinds)
		from = append(from, p.From)
	}
	c.order(from...)
	if len(parts) == 0 || parts[0].From != 0 {
		c.fault("no part from 0s on")
	}
}

// about asks that each strip is one of the desk's, in the words of a script.
func (c *labelCheck) about(strips []string) {
	for _, s := range strips {
		if !slices.Contains(c.strips, s) {
			c.fault("no strip is called %q; want an input's name, dca NAME, group NAME or main", s)
		}
	}
}

// stripNames is every strip of a hall's desk in the words of a script.
func stripNames(in *practice.Hall) []string {
	names := []string{"main"}
	for _, b := range []struct {
		kind   practice.Kind
		prefix string
	}{{practice.InputFader, ""}, {practice.DCAFader, "dca "}, {practice.GroupFader, "group "}} {
		for _, t := range in.Topics(b.kind) {
			names = append(names, b.prefix+in.Strip(t))
		}
	}
	return names
}
