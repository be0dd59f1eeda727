package timeline

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"pawl/daemon/store"
	"pawl/rules"
)

// short is a service of two minutes at an hour of the evening.
func short(hours int) (store.Run, []rules.Entry, []rules.Levels) {
	run, entries, levels := long(2, 2)
	run.Zero = evening.Add(time.Duration(hours) * time.Hour)
	return run, entries, levels
}

// three is a record of three services, numbered from 1.
func three(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "record.pawl")
	for hours := range 3 {
		run, entries, levels := short(hours)
		add(t, path, run, entries, levels)
	}
	return path
}

func ids(t *testing.T, r *Reader) (all []int64) {
	t.Helper()
	list, err := r.List()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range list {
		all = append(all, s.ID)
	}
	return all
}

func one(t *testing.T, r *Reader, id int64) One {
	t.Helper()
	o, err := r.One(id, english)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func TestReaderOfNoFile(t *testing.T) {
	r := reading(t, filepath.Join(t.TempDir(), "not there"))
	if all, err := r.List(); err != nil || len(all) != 0 {
		t.Errorf("got %v, %v, want an empty list", all, err)
	}
	if _, err := r.One(1, english); !errors.Is(err, ErrNoService) {
		t.Errorf("one: got %v", err)
	}
	if _, err := r.Curves(1, 0, sec, 10); !errors.Is(err, ErrNoService) {
		t.Errorf("curves: got %v", err)
	}
	if _, err := r.Edit(1, Edit{Do: Delete}, evening); !errors.Is(err, ErrNoService) {
		t.Errorf("edit: got %v", err)
	}
}

func TestReaderOfAnotherFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "letter.txt")
	if err := os.WriteFile(path, []byte("Dear organist, about last week"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := reading(t, path).List(); !errors.Is(err, store.ErrNoRecord) {
		t.Errorf("got %v, want that it is no record", err)
	}
}

// TestReaderOfAFileInItsPlace: a record that was put aside for a new one is not read on.
func TestReaderOfAFileInItsPlace(t *testing.T) {
	path := three(t)
	r := reading(t, path)
	if n := len(ids(t, r)); n != 3 {
		t.Fatalf("%d services, want 3", n)
	}
	for _, end := range []string{"", "-wal", "-shm"} {
		if err := os.Rename(path+end, path+".aside"+end); err != nil && !errors.Is(err, os.ErrNotExist) {
			t.Fatal(err)
		}
	}
	if n := len(ids(t, r)); n != 0 {
		t.Errorf("%d services of a record that is gone", n)
	}
	run, entries, levels := short(5)
	add(t, path, run, entries, levels)
	if n := len(ids(t, r)); n != 1 {
		t.Errorf("%d services of the new record, want 1", n)
	}
}

func TestOneHasItsNeighbours(t *testing.T) {
	r := reading(t, three(t))
	for id, want := range map[int64][2]int64{1: {0, 2}, 2: {1, 3}, 3: {2, 0}} {
		o := one(t, r, id)
		var got [2]int64
		if o.Earlier != nil {
			got[0] = o.Earlier.ID
		}
		if o.Later != nil {
			got[1] = o.Later.ID
		}
		if got != want || o.Service.ID != id || o.Service.Ratchets != 2 {
			t.Errorf("service %d: between %v, want %v; %+v", id, got, want, o.Service)
		}
	}
}

// TestEdits does what a person may ask, and looks at what is shown afterwards.
func TestEdits(t *testing.T) {
	r := reading(t, three(t))
	do := func(id int64, e Edit) int64 {
		t.Helper()
		n, err := r.Edit(id, e, evening)
		if err != nil {
			t.Fatalf("%+v: %v", e, err)
		}
		return n
	}
	do(2, Edit{Do: Rename, Text: "<b>Harvest</b>"})
	do(2, Edit{Do: Label, Text: "late team"})
	if s := one(t, r, 2).Service; s.Name != "<b>Harvest</b>" || s.Mixing != "late team" {
		t.Errorf("renamed and labelled: %+v", s)
	}
	note := do(2, Edit{Do: AddNote, T: 61 * sec, Text: "too loud here"})
	if got, want := one(t, r, 2).Remarks, []Remark{{ID: note, T: 61 * sec, Text: "too loud here"}}; !reflect.DeepEqual(got, want) {
		t.Errorf("notes %+v, want %+v", got, want)
	}
	if _, err := r.Edit(1, Edit{Do: Unnote, With: note}, evening); err == nil {
		t.Error("a note was deleted by way of another service")
	}
	do(2, Edit{Do: Unnote, With: note})
	if got := one(t, r, 2).Remarks; len(got) != 0 {
		t.Errorf("notes %+v after deleting the only one", got)
	}
	whole := one(t, r, 2).Timeline
	second := do(2, Edit{Do: Split, T: 60 * sec})
	a, b := one(t, r, 2).Timeline, one(t, r, second).Timeline
	if a.Length+b.Length > whole.Length || a.Length < 55*sec || b.Length < 55*sec || len(a.Told)+len(b.Told) < len(whole.Told) {
		t.Errorf("split in %v and %v of %v", a.Length, b.Length, whole.Length)
	}
	if left := do(second, Edit{Do: Join, With: 2}); left != 2 {
		t.Errorf("the join left %d, want 2", left)
	}
	if got := one(t, r, 2).Timeline; !reflect.DeepEqual(got.Movers, whole.Movers) || got.Length != whole.Length {
		t.Errorf("joined again it is %v long, want %v", got.Length, whole.Length)
	}
	do(2, Edit{Do: Delete})
	if got := ids(t, r); !reflect.DeepEqual(got, []int64{3, 1}) {
		t.Errorf("left are %v, want 3 and 1", got)
	}
	for _, c := range []struct {
		id   int64
		edit Edit
		want error
	}{
		{2, Edit{Do: Rename, Text: "gone"}, ErrNoService}, {1, Edit{Do: Join, With: 1}, store.ErrNoNeighbour},
		{1, Edit{Do: Join, With: 9}, ErrNoService}, {1, Edit{Do: Split, T: 5000 * sec}, store.ErrOutside}, {1, Edit{Do: "praise"}, nil},
	} {
		if _, err := r.Edit(c.id, c.edit, evening); err == nil || c.want != nil && !errors.Is(err, c.want) {
			t.Errorf("%+v of %d: got %v, want %v", c.edit, c.id, err, c.want)
		}
	}
}

// TestReaderWhileItIsWritten: a service that goes on is read again once there is much
// more of it, and at once when it has ended.
func TestReaderWhileItIsWritten(t *testing.T) {
	path := filepath.Join(t.TempDir(), "record.pawl")
	run, entries, levels := short(0)
	rec := store.NewRecorder(path, store.Options{})
	defer rec.Close()
	rec.Begin(run)
	rec.BeginService(0)
	put := func(from, until rules.Moment) {
		t.Helper()
		var e []rules.Entry
		for _, one := range entries {
			if at := one.Head().T; at >= from && at < until {
				e = append(e, one)
			}
		}
		rec.Put(e, levels[from/sec:until/sec])
		if err := rec.Flush(); err != nil {
			t.Fatal(err)
		}
	}
	r := reading(t, path)
	length := func() rules.Moment { t.Helper(); return one(t, r, 1).Timeline.Length / sec }
	put(0, 60*sec)
	was := length()
	put(60*sec, 65*sec)
	if got := length(); got != was {
		t.Errorf("%d s, drawn again for five seconds more than %d", got, was)
	}
	put(65*sec, 90*sec)
	if got := length(); got < was+25 {
		t.Errorf("%d s, want those that were written since %d", got, was)
	}
	rec.EndService(time.Duration(89 * sec))
	if err := rec.Flush(); err != nil {
		t.Fatal(err)
	}
	if s := one(t, r, 1).Service; s.GoesOn {
		t.Error("it goes on after its end")
	}
}

// TestQuestionsAreAnswered: a question of the service is open until somebody writes a note
// about its moment.
func TestQuestionsAreAnswered(t *testing.T) {
	at := evening.Add(time.Minute)
	question := store.Note{At: at, Text: "who leads?", Question: true}
	for _, c := range []struct {
		name string
		note store.Note
		want bool
	}{
		{"nobody wrote", question, false},
		{"a note of then", store.Note{At: at, Text: "loud"}, false},
		{"a note elsewhere", store.Note{ID: 3, At: at.Add(2 * time.Second)}, false},
		{"a note about it, to the second", store.Note{ID: 3, At: at.Add(-900 * time.Millisecond)}, true},
	} {
		if got := answered([]store.Note{question, c.note}, question); got != c.want {
			t.Errorf("%s: answered %v, want %v", c.name, got, c.want)
		}
	}
}
