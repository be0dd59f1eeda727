package main

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"pawl/daemon/link"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/dashboard"
)

// TestStartGoesOnToWatch: from nothing to a watched desk by the page alone, at one address.
func TestStartGoesOnToWatch(t *testing.T) {
	house, page, lines, cmd := startedFirstHour(t)
	var line string
	var err error
	for !strings.HasPrefix(line, "Listening to ") {
		if line, err = lines.ReadString('\n'); err != nil {
			t.Fatalf("it ended with %q, %v", line, err)
		}
	}
	if !strings.Contains(line, page) {
		t.Errorf("%q, and the first hour was at %s", line, page)
	}
	for state := ""; !strings.Contains(state, `"house":"Harbour Hall"`); {
		state = body(t, page+"api/state")
	}
	wantFirstFiles(t, house)
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	rest, _ := io.ReadAll(lines)
	if err := cmd.Wait(); err != nil {
		t.Errorf("ended with %v: %s", err, rest)
	}
}

// TestStartFilesOnly: it ends when the files are there, so that a service can watch.
func TestStartFilesOnly(t *testing.T) {
	house, _, lines, cmd := startedFirstHour(t, "--files-only")
	rest, _ := io.ReadAll(lines)
	if err := cmd.Wait(); err != nil || !strings.Contains(string(rest), "Wrote ") || strings.Contains(string(rest), "Listening to ") {
		t.Errorf("ended with %v: %s", err, rest)
	}
	wantFirstFiles(t, house)
	again, err := exec.Command(pawlBinary(t), "start", house, "--files-only").CombinedOutput()
	if err != nil || !strings.Contains(string(again), "is there already") {
		t.Errorf("once more: %v: %s", err, again)
	}
	// Whoever asks for this machine alone is not shown to the network by a file from before.
	elsewhere, err := exec.Command(pawlBinary(t), "start", house, "--page", "127.0.0.1:10999").CombinedOutput()
	if err == nil || !strings.Contains(string(elsewhere), "change page.listen there") {
		t.Errorf("with its page elsewhere: %v: %s", err, elsewhere)
	}
}

func wantFirstFiles(t *testing.T, house string) {
	t.Helper()
	for _, file := range []string{house, filepath.Join(filepath.Dir(house), "desk.map.yaml")} {
		if _, err := os.Stat(file); err != nil {
			t.Error(err)
		}
	}
}

// startedFirstHour is a first hour of which the last button has just been pressed: its house
// file, its page, what it says from there, and the program.
func startedFirstHour(t *testing.T, flags ...string) (string, string, *bufio.Reader, *exec.Cmd) {
	t.Helper()
	d, err := practicetest.DialectNamed("harbour")
	if err != nil {
		t.Fatal(err)
	}
	desk, err := practicetest.NewDesk(practice.Options{Clock: link.Clock{Started: time.Now(), Speed: 20}}, d, "")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	over := make(chan error, 1)
	go func() { over <- desk.Run(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-over; err != nil {
			t.Error(err)
		}
	})
	folder := t.TempDir()
	_, linkOf, _ := strings.Cut(string(d.Map()), "\nlink:")
	linkOf, _, _ = strings.Cut(linkOf, "\n\n")
	asks := filepath.Join(folder, "asks.yaml")
	if err := os.WriteFile(asks, []byte("link:"+linkOf+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	house := filepath.Join(folder, "hall.yaml")
	cmd := exec.CommandContext(t.Context(), pawlBinary(t), "start", house, "--desk", desk.Addr().String(), "--map", asks, "--page", "127.0.0.1:0")
	cmd.Args = append(cmd.Args, flags...)
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	said, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewReader(said)
	line, err := lines.ReadString('\n')
	page := regexp.MustCompile(`http://\S+/`).FindString(line)
	if err != nil || page == "" {
		t.Fatalf("%q, %v: want the page's address", line, err)
	}
	first := func() (f dashboard.First) {
		if err := json.Unmarshal([]byte(body(t, page+"api/first")), &f); err != nil {
			t.Fatal(err)
		}
		return f
	}
	press := func(text string) {
		answer, err := http.Post(page+"api/first", "application/json", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		if b, _ := io.ReadAll(answer.Body); !strings.Contains(string(b), `"refused":""`) {
			t.Fatalf("%s is refused: %s", text, b)
		}
	}
	for first().Messages == 0 {
	}
	press(`{"do":"begin"}`)
	press(`{"do":"answer","text":"stop"}`)
	press(`{"do":"write","text":"Harbour Hall"}`)
	return house, page, lines, cmd
}
