package house

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"pawl/oscmap/sheet"
)

// No file that is not too large to be read makes a check ask for more memory than this in
// all, most of which it has given back by then: at once the worst of these had 210 MiB.
const mostOfACheck = 768 << 20

// whole repeats lines until a file is as large as may be.
func whole(head string, line func(int) string) string {
	var b strings.Builder
	b.WriteString(head)
	for i := 0; ; i++ {
		l := line(i)
		if b.Len()+len(l) > sheet.MaxBytes {
			return b.String()
		}
		b.WriteString(l)
	}
}

// upTo is a file of so many lines.
func upTo(n int, head string, line func(int) string) string {
	var b strings.Builder
	b.WriteString(head)
	for i := range n {
		b.WriteString(line(i))
	}
	return b.String()
}

// A pipe, a device or a folder in the place of a file might never end, and is not read.
func TestOnlyOrdinaryFiles(t *testing.T) {
	folder := t.TempDir()
	pipe := filepath.Join(folder, "pipe")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{pipe, "/dev/zero", folder} {
		if h, faults := Load(file); h != nil || !strings.Contains(faults.Error(), "it is not an ordinary file") {
			t.Errorf("house %s: %v", file, faults)
		}
		house := filepath.Join(folder, "hall.yaml")
		if err := os.WriteFile(house, []byte("house: Hall\ndesk: {address: \"192.0.2.10:10700\", map: "+file+"}\nroster: {inputs: {1: {name: a}}}\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		if h, faults := Load(house); h != nil || !strings.Contains(faults.Error(), "it is not an ordinary file") {
			t.Errorf("map %s: %v", file, faults)
		}
		if _, faults := Check(file); !strings.Contains(faults.Error(), "it is not an ordinary file") {
			t.Errorf("check %s: %v", file, faults)
		}
	}
}

// Files that a person could write by a slip of an editor, and some that nobody would.
func TestHostileFiles(t *testing.T) {
	same := func(line string) func(int) string { return func(int) string { return line } }
	for name, text := range map[string]string{
		"one key repeated":                whole("", same("name: x\n")),
		"a section repeated":              whole("desk: d\n", same("signals: []\n")),
		"a key repeated in a section":     whole("signals:\n- ", same("hear: /a\n  ")),
		"many keys":                       whole("", func(i int) string { return fmt.Sprintf("k%d: 1\n", i) }),
		"many inputs":                     whole("inputs:\n", func(i int) string { return fmt.Sprintf("  %d: {name: a}\n", i) }),
		"one input repeated":              whole("inputs:\n", same("  1: {name: a}\n")),
		"many signals":                    whole("desk: d\nsignals:\n", func(i int) string { return fmt.Sprintf("- {hear: /a/%d, is: input.level}\n", i) }),
		"one signal repeated":             whole("desk: d\nsignals:\n", same("- {hear: /a, is: desk.alive}\n")),
		"open heads":                      whole("desk: d\nsignals:\n", func(i int) string { return fmt.Sprintf("- {hear: /{any}/%d, is: input.level}\n", i) }),
		"all values on one address":       whole("desk: d\nstrips: {inputs: 64}\nsignals:\n", same("- {hear: /a, is: input.level, each: input:1-64}\n")),
		"many asks":                       whole("desk: d\nlink:\n  ask:\n", func(i int) string { return fmt.Sprintf("  - {send: /a/%d}\n", i) }),
		"many wide ranges":                whole("desk: d\nstrips: {inputs: 64}\nsignals:\n", same("- {hear: \"/a/{input:1-64}/{input}\", is: input.level}\n")),
		"as many of one signal as may be": upTo(4096, "desk: d\nsignals:\n", same("- {hear: /a, is: desk.alive}\n")),
		"as many open heads as may be": upTo(4096, "desk: d\nsignals:\n", func(i int) string {
			return fmt.Sprintf("- {hear: \"/{any}/%d\", is: main.level, value: {arg: 0, unit: dBFS}}\n", i)
		}),
		"as many open tails as may be": upTo(4096, "desk: d\nsignals:\n", func(i int) string {
			return fmt.Sprintf("- {hear: \"/a{any}%d\", is: main.level, value: {arg: 0, unit: dBFS}}\n", i)
		}),
		"as many rows of one blob": upTo(4096, "desk: d\nstrips: {inputs: 64}\nsignals:\n", func(i int) string {
			return fmt.Sprintf("- {hear: /a, is: input.level, value: {blob: 0, of: float32-le, skip: %d, each: \"input:1-64\", unit: dBFS}}\n", 300*i)
		}),
		"as many addresses as may be": upTo(1000, "desk: d\nsignals:\n", func(i int) string {
			return fmt.Sprintf("- {hear: \"/a%d/{input:1-64}\", is: input.level, value: {arg: 0, unit: dBFS}}\n", i)
		}),
		"as many asks as may be": upTo(4096, "desk: d\nlink:\n  ask:\n", func(i int) string { return fmt.Sprintf("  - {send: /a/%d, every: 1s}\n", i) }),
		"aliases of aliases":     "a: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a]\nc: &c [*b,*b,*b,*b,*b,*b,*b]\nd: &d [*c,*c,*c,*c,*c]\ne: [*d,*d,*d,*d,*d,*d,*d]\n",
		"nested lists":           "a: " + strings.Repeat("[", sheet.MaxBytes-3),
		"one long line":          "name: " + strings.Repeat("x", sheet.MaxBytes-6),
	} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "hostile.yaml")
			if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			if _, faults := Check(file); len(faults) == 0 {
				t.Error("no fault was found")
			}
			runtime.ReadMemStats(&after)
			if used := after.TotalAlloc - before.TotalAlloc; used > mostOfACheck {
				t.Errorf("took %d MiB in all", used>>20)
			} else {
				t.Logf("took %d MiB in all", used>>20)
			}
		})
	}
}
