package review

import (
	"strings"
	"testing"
	"time"

	"pawl/daemon/store"
)

func TestFind(t *testing.T) {
	services := []store.Service{
		{ID: 12, Name: "Harvest evening", Began: evening.AddDate(0, 0, 7)}, {ID: 11, Name: "Morning", Began: evening}, {ID: 9, Name: "Morning"}, {ID: 7, Name: "12 songs"},
		{ID: 4}, {ID: 3, Name: "\x1b[2J"}, {ID: 2, Name: "Harvest"},
	}
	for _, c := range []struct {
		word  string
		want  int64  // 0 for none
		error string // that it has to say
	}{
		{"last", 12, ""}, {"9", 9, ""}, {"4", 4, ""}, {"harvest", 2, ""}, {"EVENING", 12, ""}, {"12", 12, ""}, {"12 songs", 7, ""}, {" harvest ", 2, ""},
		{"morning", 0, "2 services are called so: 11 ("}, {"99", 0, `no service "99"; there are 12 (8 March 2026, 18:30, Harvest evening), 11`},
		{"advent", 0, "and 2 more"}, {"", 0, "there is no service"}, {"x\x1b[31m", 0, `"x?[31m"`}, {"-1", 0, "there is no service"},
	} {
		got, err := Find(services, c.word, time.UTC)
		if got.ID != c.want || (err == nil) != (c.error == "") || err != nil && !strings.Contains(err.Error(), c.error) {
			t.Errorf("%q: service %d, %v; want %d, %q", c.word, got.ID, err, c.want, c.error)
		}
		if err != nil && strings.ContainsRune(err.Error(), 0x1b) {
			t.Errorf("%q: the error has what a terminal obeys: %q", c.word, err)
		}
	}
	if _, err := Find(nil, "last", time.UTC); err == nil || !strings.Contains(err.Error(), "no service yet") {
		t.Errorf("an empty record: %v", err)
	}
}
