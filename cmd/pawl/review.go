package main

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"pawl/daemon/review"
	"pawl/daemon/store"
	"pawl/rules/words"
)

var reviewVerb = verb{
	name: "review", args: "[--record FILE | --house HOUSE] [SERVICE] [--list] [--html FILE] [--csv DIR] [--json] [--language LANGUAGE] [--backup FILE]",
	summary: "say what a recorded service came to, by its number, its name, or the last; --list is all of them",
	run:     reviewRecord,
}

// reviewing is what a review was asked for.
type reviewing struct {
	*call
	record, house      *string
	html, csv, backup  *string
	language           *string
	list, every, asDoc *bool

	file     string // of the record
	spoken   string // in the house, as far as its file was read
	damaged  bool   // the record is
	lacking  bool   // so is what is reported, which says what it lacks
	store    *store.Store
	services []store.Service // the newest first
	options  review.Options
}

func reviewRecord(_ context.Context, c *call) error {
	r := reviewing{
		call:     c,
		record:   c.flags.String("record", "", "the record's `FILE`; if left out, the one that pawl watch writes here"),
		house:    c.flags.String("house", "", "the record of this house `FILE`"),
		list:     c.flags.Bool("list", false, "list the services of a year, with trends and one thing to practise"),
		every:    c.flags.Bool("all", false, "with --list: of all years"),
		html:     c.flags.String("html", "", "write a report to this `FILE`, which opens anywhere and prints well"),
		csv:      c.flags.String("csv", "", "write tables into this `DIR`, of all services unless one is named"),
		asDoc:    c.flags.Bool("json", false, "print one JSON document"),
		language: c.flags.String("language", "", "the `LANGUAGE` to write in: "+words.Own().String()+"; if left out, that of the house file, or English"),
		backup:   c.flags.String("backup", "", "copy the whole record to this `FILE`, also while Pawl runs"),
	}
	if err := c.parseAny(); err != nil {
		return err
	}
	if err := r.check(); err != nil {
		return err
	}
	var err error
	if r.file, err = r.path(); err != nil {
		return err
	}
	if r.store, err = openRecord(r.file); err != nil {
		return err
	}
	defer r.store.Close()
	if r.damaged, err = r.store.Mend(); err != nil {
		return err
	}
	r.options = review.Options{Zone: time.Local, Speaker: words.Own().For(cmp.Or(*r.language, r.spoken))}
	if err := r.run(); err != nil {
		return err
	}
	if r.damaged {
		fmt.Fprintf(r.stderr, "%s is damaged: %s; the rest is here\n", r.file, cmp.Or(r.damage(), "nothing is known to be missing"))
	}
	return nil
}

// damage is what of the record is missing, as far as that is known; "" if nothing is.
func (r *reviewing) damage() string {
	var what []string
	d := r.store.Damage()
	if d.Cut > 0 {
		what = append(what, fmt.Sprintf("%s of its %s kB are missing at the end", kilobytes(d.Cut), kilobytes(d.Size)))
	}
	if d.Services > 0 {
		what = append(what, fmt.Sprintf("of %s nothing can be read", count(d.Services, "service")))
	}
	if r.lacking {
		what = append(what, "of a service here a part cannot be read")
	}
	return strings.Join(what, ", ")
}

func kilobytes(n int64) string { return grouped(uint64(n+999) / 1000) }

// check refuses words that do not go together.
func (r *reviewing) check() error {
	wrong := ""
	switch {
	case len(r.args) > 1:
		wrong = "one service at a time: a number, a name in quotes, or last"
	case *r.list && len(r.args) > 0:
		wrong = "--list is of all services, and a service of one"
	case *r.list && *r.html != "":
		wrong = "--html is of one service; leave --list out"
	case *r.every && !*r.list:
		wrong = "--all goes with --list"
	case *r.record != "" && *r.house != "":
		wrong = "--record and --house both name a record; give one of them"
	case *r.language != "" && !words.Own().Has(*r.language):
		wrong = fmt.Sprintf("no language %q; there are %s", *r.language, words.Own())
	default:
		return nil
	}
	fmt.Fprintf(r.stderr, "pawl review: %s\n", wrong)
	r.usage()
	return errUsage
}

// path is where the record is: as named, of the house that is named, or the one that
// lies where pawl watch writes it.
func (r *reviewing) path() (string, error) {
	switch {
	case *r.record != "":
		return *r.record, nil
	case *r.house != "":
		h, err := load(r.call, *r.house)
		if err != nil {
			return "", err
		}
		if h.Record.None {
			return "", fmt.Errorf("%s keeps no record: record: in it says so", *r.house)
		}
		r.spoken = h.Language
		return recordFile(h), nil
	}
	folder := os.Getenv("STATE_DIRECTORY")
	if folder == "" {
		folder = "."
	}
	found, err := filepath.Glob(filepath.Join(folder, "*.record"))
	switch {
	case err != nil:
		return "", err
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return "", fmt.Errorf("there are %d records here: %s; name one with --record", len(found), strings.Join(found, ", "))
	}
	return "", errors.New("there is no record here; pawl watch writes one beside the house file. Name it with --record FILE, or the house file with --house FILE")
}

// openRecord says why a record cannot be opened, and what to do.
func openRecord(path string) (*store.Store, error) {
	s, err := store.OpenToRead(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no record at %s; pawl watch writes one beside the house file", path)
	case errors.Is(err, store.ErrNewer):
		return nil, fmt.Errorf("a newer Pawl wrote %s, and this one leaves it alone; review it with that one", path)
	case errors.Is(err, store.ErrNoRecord):
		return nil, fmt.Errorf("%s is no record of Pawl's; nothing in it was touched", path)
	}
	return s, err
}

func (r *reviewing) run() (err error) {
	if *r.backup != "" {
		if r.damaged {
			return fmt.Errorf("%s is damaged, and cannot be copied whole: copy the file itself", r.file)
		}
		if err := r.store.Backup(*r.backup); err != nil {
			return err
		}
		fmt.Fprintf(r.stderr, "The record is copied to %s\n", *r.backup)
		if len(r.args) == 0 && !*r.list && *r.html == "" && *r.csv == "" && !*r.asDoc {
			return nil
		}
	}
	if r.services, err = r.store.Services(); err != nil {
		return err
	}
	if r.damaged && len(r.services) == 0 {
		return fmt.Errorf("%s is damaged, and none of its services can be read: %s", r.file, cmp.Or(r.damage(), "what lists them is gone"))
	}
	for i := range r.services {
		r.services[i].EndedBy(time.Now())
	}
	if *r.csv != "" {
		if err := r.tables(); err != nil {
			return err
		}
	}
	if *r.list {
		return r.lists()
	}
	if *r.csv != "" && *r.html == "" && !*r.asDoc {
		return nil
	}
	return r.one()
}

// chosen is the service that is asked for.
func (r *reviewing) chosen() (store.Service, error) {
	word := "last"
	if len(r.args) == 1 {
		word = r.args[0]
	}
	return review.Find(r.services, word, time.Local)
}

// one reports one service.
func (r *reviewing) one() error {
	s, err := r.chosen()
	if err != nil {
		return err
	}
	m, err := review.Load(r.store, s)
	if err != nil {
		return err
	}
	report := r.summarise(m)
	if *r.html != "" {
		if err := writeNew(*r.html, report.HTML); err != nil {
			return err
		}
		fmt.Fprintf(r.stderr, "The report is in %s\n", *r.html)
	}
	switch {
	case *r.asDoc:
		return r.document(report)
	case *r.html == "":
		return report.Text(r.stdout, r.paper())
	}
	return nil
}

// summarise reports a service, and notes whether it is damaged.
func (r *reviewing) summarise(m review.Material) *review.Report {
	report := review.Summarise(m, r.options)
	r.lacking = r.lacking || report.Heading.Damaged()
	return report
}

func (r *reviewing) document(v any) error {
	out := json.NewEncoder(r.stdout)
	out.SetEscapeHTML(false)
	return out.Encode(v)
}

// aYear is how many weekly services a list has unless all are asked for.
const aYear = 53

func (r *reviewing) lists() error {
	services := r.services
	if !*r.every {
		services = services[:min(len(services), aYear)]
	}
	listed, err := review.LoadList(r.store, services, r.options)
	if err != nil {
		return err
	}
	for i := range listed {
		r.lacking = r.lacking || listed[i].Heading.Damaged()
	}
	if *r.asDoc {
		return r.document(review.Overlook(listed, r.options))
	}
	if len(listed) == 0 {
		fmt.Fprintln(r.stdout, capital(review.ErrNoneYet.Error())+".")
		return nil
	}
	if err := review.ListText(r.stdout, listed, r.options, r.paper()); err != nil {
		return err
	}
	if older := len(r.services) - len(services); older > 0 {
		fmt.Fprintf(r.stdout, "\n%s older are not listed; --all lists them.\n", count(older, "service"))
	}
	return nil
}

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// paper is what is printed on: a terminal as wide as it is, or COLUMNS, and colour on a
// terminal that may have it.
func (r *reviewing) paper() review.TextOptions {
	size := screenOf(r.stdout)
	o := review.TextOptions{Colour: size != nil && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"}
	if size != nil {
		o.Width, _ = size()
	}
	if columns, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && columns > 0 {
		o.Width = columns
	}
	return o
}

// tables writes the tables of the service that is named, or of all, and their README. No
// file that is there is written over.
func (r *reviewing) tables() error {
	services := slices.Clone(r.services)
	if len(r.args) == 1 {
		s, err := r.chosen()
		if err != nil {
			return err
		}
		services = []store.Service{s}
	}
	if len(services) == 0 {
		return review.ErrNoneYet
	}
	slices.Reverse(services) // the earliest first, as rows are read
	return r.write(services)
}

func (r *reviewing) write(services []store.Service) error {
	all := review.Tables()
	names := []string{"README.txt"}
	for _, t := range all {
		names = append(names, t.Name)
	}
	files, err := createAll(*r.csv, names)
	if err != nil {
		return err
	}
	if _, err := io.WriteString(files[0], review.TablesREADME()); err != nil {
		return err
	}
	var tables []*review.TableWriter
	for i := range all {
		tables = append(tables, all[i].Begin(files[i+1]))
	}
	for _, s := range services { // one at a time, or years of them would not fit in memory
		m, err := review.Load(r.store, s)
		if err != nil {
			return err
		}
		report := r.summarise(m)
		for _, t := range tables {
			if err := t.Add(report); err != nil {
				return err
			}
		}
	}
	for _, f := range files {
		if err := f.Close(); err != nil {
			return err
		}
	}
	fmt.Fprintf(r.stderr, "The tables of %s are in %s; README.txt there says what each column is\n", count(len(services), "service"), *r.csv)
	return nil
}

// createAll makes files in a folder that is made if need be: all of them or none.
func createAll(folder string, names []string) (files []*os.File, err error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, err
	}
	for _, name := range names {
		f, err := createNew(filepath.Join(folder, name), 0o644)
		if err != nil {
			for _, made := range files {
				made.Close()
				os.Remove(made.Name())
			}
			return nil, err
		}
		files = append(files, f)
	}
	return files, nil
}

// createNew makes a file that is not there yet.
func createNew(path string, may fs.FileMode) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, may)
	switch {
	case errors.Is(err, fs.ErrExist):
		err = fmt.Errorf("%s is there already and is not overwritten; name another", path)
	case errors.Is(err, fs.ErrNotExist):
		err = fmt.Errorf("cannot write %s: its folder is not there", path)
	case err != nil:
		err = fmt.Errorf("cannot write %w", err)
	}
	return f, err
}

// writeNew writes a file that is not there yet, whole or not at all.
func writeNew(path string, write func(io.Writer) error) error {
	f, err := createNew(path, 0o644)
	if err != nil {
		return err
	}
	if err := errors.Join(write(f), f.Close()); err != nil {
		os.Remove(path)
		return err
	}
	return nil
}
