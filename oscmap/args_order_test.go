package oscmap

import (
	"fmt"
	"testing"

	"pawl/rules/desk"
)

// TestArgumentsInAnyOrder has several lines read one message, each other arguments
// of it and in another order: what one line has walked past, the next still finds.
func TestArgumentsInAnyOrder(t *testing.T) {
	const src = `
desk: d
signals:
  - {hear: /all, is: input.fader, which: {input: 1-4, arg: 4}, value: {arg: 5, unit: dB}}
  - {hear: /all, is: dca.fader, which: {dca: 1-4, arg: 0}, value: {arg: 1, unit: dB}}
  - {hear: /all, is: group.fader, which: {group: 1-4, arg: 6}, value: {arg: 2, unit: dB}}
  - {hear: /all, is: main.fader, value: {arg: 3, unit: dB}}
`
	h := mustLoad(t, src).NewHearer()
	all := []any{3, float32(-1), -2.5, -3, 2, "-5 dB", 1}
	want := []desk.Reading{
		{Signal: desk.InputFader, Index: 1, Value: -5}, {Signal: desk.DCAFader, Index: 2, Value: -1},
		{Signal: desk.GroupFader, Value: -2.5}, {Signal: desk.MainFader, Value: -3},
	}
	if got := h.Hear(nil, 0, message(t, "/all", all...)); fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	for n, want := range []int{0, 0, 1, 1, 2, 2, 3, 4} {
		if got := h.Hear(nil, 0, message(t, "/all", all[:n]...)); len(got) != want {
			t.Errorf("of %d arguments %+v, want %d readings", n, got, want)
		}
	}
}

// TestCountAfterTheBlob reads an argument behind the blob before the blob itself.
func TestCountAfterTheBlob(t *testing.T) {
	h := mustLoad(t, `
desk: d
signals:
  - {hear: /m, is: group.level, value: {blob: 0, of: int8, each: "group:1-4", unit: dBFS, count: {arg: 1}}}
`).NewHearer()
	got := h.Hear(nil, 0, message(t, "/m", []byte{0xfe, 0xfd, 0xfc, 0xfb}, 2))
	want := []desk.Reading{{Signal: desk.GroupLevel, Value: -2}, {Signal: desk.GroupLevel, Index: 1, Value: -3}}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}
