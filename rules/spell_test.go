package rules

import (
	"encoding/json"
	"testing"
	"time"
)

func TestWordsInJSON(t *testing.T) {
	for _, c := range []struct {
		v    any
		want string
	}{
		{Split{1, -0.5, 0, 0}, `{"faders":1,"stage":-0.5,"groups":0,"main":0}`},
		{Nudge, `"nudge"`},
		{Eased, `"eased"`},
	} {
		if got, err := json.Marshal(c.v); err != nil || string(got) != c.want {
			t.Errorf("got %s, %v; want %s", got, err, c.want)
		}
	}
}

func TestSpell(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{spell(65 * time.Second), "65 s"},
		{spell(3 * time.Minute), "3 min"},
		{spell(150 * time.Second), "2 min 30 s"},
		{spell(0), "0 s"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
