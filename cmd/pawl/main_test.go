package main

import (
	"bytes"
	"context"
	"fmt"
	"net"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"pawl/daemon/capture"
	"pawl/daemon/link"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"pawl": main})
}

// TestScripts drives the program itself by the scripts in testdata/scripts. On
// top of testscript's own words they may say
//
//	desk SERVICE         start a practice desk in life's own time; its address is $DESK
//	played SERVICE FILE  write a whole service to a capture, as `pawl capture` would have
//	recorded FILE        write a record of two evenings
//	newer FILE           make it one of a newer Pawl
//	cut FILE PERCENT     leave so much of a file
//	blank FILE PERCENT   overwrite a tenth of a file with zeros, from there on
//	fill FILE            put the values of $DESK and $PORT into a file that names them
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/scripts",
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			port, err := freePort()
			e.Setenv("PORT", port)
			return err
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"desk": startDesk, "played": played, "fill": fill, "recorded": recorded, "newer": newer, "cut": cut, "blank": blank,
		},
	})
}

// freePort is a TCP port that nobody holds now.
func freePort() (string, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return "", err
	}
	defer l.Close()
	_, port, err := net.SplitHostPort(l.Addr().String())
	return port, err
}

func startDesk(ts *testscript.TestScript, _ bool, args []string) {
	script, err := practicetest.Service(args[0])
	ts.Check(err)
	d, err := practice.New(practice.Options{Clock: link.Clock{Started: time.Now()}, Service: script})
	ts.Check(err)
	ts.Setenv("DESK", d.Addr().String())
	ctx, stop := context.WithCancel(context.Background())
	var run sync.WaitGroup
	run.Go(func() { ts.Check(d.Run(ctx)) })
	ts.Defer(func() {
		stop()
		run.Wait()
	})
}

func played(ts *testscript.TestScript, _ bool, args []string) {
	b, err := capturedService(args[0])
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), b, 0o644))
}

// capturedService is a service of the practice desk as a pcapng file.
func capturedService(name string) ([]byte, error) {
	script, err := practicetest.Service(name)
	if err != nil {
		return nil, err
	}
	var file bytes.Buffer
	w, err := capture.NewWriter(&file, name)
	if err != nil {
		return nil, err
	}
	began := time.Date(2026, 11, 22, 10, 0, 0, 0, time.UTC)
	from, to := practiceAddr(10700), practiceAddr(10701)
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
		if err := w.Write(capture.Packet{At: began.Add(at), From: from, To: to, Data: packet}); err != nil {
			return nil, err
		}
	}
	if err := w.Flush(); err != nil {
		return nil, err
	}
	return file.Bytes(), nil
}

func fill(ts *testscript.TestScript, _ bool, args []string) {
	text := ts.ReadFile(args[0])
	for _, name := range []string{"DESK", "PORT"} {
		text = strings.ReplaceAll(text, "$"+name, ts.Getenv(name))
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o644))
}

func TestRunSaysWhatItDoesNotKnow(t *testing.T) {
	for _, c := range []struct {
		name string
		args []string
		code int
		want string
	}{
		{"nothing", nil, exitUsage, "pawl demo"},
		{"help", []string{"help"}, exitGood, "pawl replay"},
		{"no such verb", []string{"observe"}, exitUsage, `no verb "observe"`},
		{"a verb mistyped", []string{"wach"}, exitUsage, `no verb "wach"; did you mean watch?`},
		{"too few words", []string{"check"}, exitUsage, "no house file or map is named; want one house file or map"},
		{"one word of two", []string{"replay", "a"}, exitUsage, "no capture is named; want one house file and one capture"},
		{"a word too many", []string{"watch", "a", "b"}, exitUsage, `pawl watch: "b" is one word too many; want one house file`},
		{"words too many", []string{"capture", "a", "b", "c"}, exitUsage, `"b" and "c" are too many; want one house file`},
		{"a word where none is", []string{"version", "a"}, exitUsage, `"a" is one word too many; want no word after the verb`},
		{"no such flag", []string{"demo", "--loud"}, exitUsage, "-loud"},
		{"no such level", []string{"watch", "a", "--log-level", "loud"}, exitUsage, "log-level"},
		{"a speed of nothing", []string{"demo", "--speed", "0"}, exitUsage, "0.1 to 50"},
		{"flags after words", []string{"replay", "a", "b", "--from", "somewhere"}, exitUsage, "somewhere"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out, errs bytes.Buffer
			if got := run(c.args, &out, &errs); got != c.code {
				t.Errorf("exit %d, want %d", got, c.code)
			}
			if text := fmt.Sprint(&out, &errs); !strings.Contains(text, c.want) {
				t.Errorf("said %q, want %q in it", text, c.want)
			}
		})
	}
}
