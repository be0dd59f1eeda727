package oscmap

import (
	"fmt"
	"testing"
)

// TestDoubts: what does not fit the map is told line by line, with how far positions
// went beyond the taper.
func TestDoubts(t *testing.T) {
	h := mustLoad(t, `
desk: d
tapers: {rise: [[0, -inf], [0.4, -30], [0.77, 0], [1, 8]]}
signals:
  - {hear: "/berth/{input:1-3}/rise", is: [input.fader, input.source-gain], value: {taper: rise}}
  - {hear: "/berth/{input}/shut", is: input.mute}
  - {hear: "/berth/{input}/tide", is: input.level, value: {unit: dBFS}}
`).NewHearer()
	for _, line := range []string{"/berth/1/rise f:0.5", "/berth/1/shut T", "/berth/1/tide f:-20"} {
		h.Hear(nil, 0, said(t, line))
	}
	if got := h.Doubts(); len(got) != 0 {
		t.Errorf("got %v, want no doubts", got)
	}
	for _, line := range []string{
		"/berth/1/rise f:1.01", "/berth/2/rise f:1.5", "/berth/2/rise f:-0.25", "/berth/3/rise f:inf", `/berth/3/rise s:"loud"`,
		"/berth/1/tide f:99", "/berth/1/tide f:nan", "/berth/1/rise f:1",
	} {
		h.Hear(nil, 0, said(t, line))
	}
	var got []string
	for _, d := range h.Doubts() {
		got = append(got, fmt.Sprint(d, d.Signals))
	}
	want := []string{
		`line 5, /berth/{input:1-3}/rise: 3 values outside the taper "rise", which goes from 0 to 1: they were -0.25 to 1.5; 1 clamped; 4 refused [input.fader input.source-gain]`,
		`line 7, /berth/{input}/tide: 1 clamped; 1 refused [input.level]`,
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}
