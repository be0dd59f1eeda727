package main

import (
	"bufio"
	"io"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
)

// TestServiceOutlivesItsReader runs the program with its output going to somebody who
// has left, as in `pawl demo --json | head -1`: it goes on, and the page says why
// nothing is printed.
func TestServiceOutlivesItsReader(t *testing.T) {
	reader, writer, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	reader.Close()
	cmd := exec.CommandContext(t.Context(), pawlBinary(t), "demo", "--json", "--port", "0", "--speed", "20")
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	cmd.Stdout = writer
	said, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	writer.Close()
	lines := bufio.NewReader(said)
	line, page := "", ""
	for page == "" {
		if line, err = lines.ReadString('\n'); err != nil {
			t.Fatalf("%q, %v: want the page's address", line, err)
		}
		page = regexp.MustCompile(`http://\S+/`).FindString(line)
	}
	for { // the log says when it happens, and says it once
		if line, err = lines.ReadString('\n'); err != nil {
			t.Fatalf("the program ended: %v", err)
		}
		if strings.Contains(line, "nothing more can be printed") {
			break
		}
	}
	for state := ""; !strings.Contains(state, `"kind":"lines"`); {
		state = body(t, page+"api/state")
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	rest, _ := io.ReadAll(lines)
	if err := cmd.Wait(); err != nil {
		t.Errorf("ended with %v: %s", err, rest)
	}
}

func body(t *testing.T, address string) string {
	t.Helper()
	answer, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	b, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
