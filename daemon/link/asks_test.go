package link

import (
	"fmt"
	"strings"
	"testing"

	"pawl/oscmap"
)

// mapped are the asks of a map, the only place where there are any. Each
// argument is one line of the map's list, as in "{send: /listen, every: 8s}".
func mapped(t testing.TB, asks ...string) []oscmap.Ask {
	t.Helper()
	var file strings.Builder
	file.WriteString("desk: Harbour Hall practice desk\nlink:\n  desk-port: 10700\n  ask:\n")
	for _, a := range asks {
		fmt.Fprintf(&file, "    - %s\n", a)
	}
	file.WriteString("signals:\n  - {hear: /main/throw, is: main.fader, value: {arg: 0, unit: dB}}\n")
	m, faults := oscmap.Load("test.yaml", []byte(file.String()), nil)
	if m == nil || faults.Wrong() {
		t.Fatalf("the test's own map:\n%v\n%s", faults, file.String())
	}
	return m.Asks()
}
