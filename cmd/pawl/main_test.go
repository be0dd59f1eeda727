package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"regexp"
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

// systemWords are such as Go and the system say where something fails, and nobody is to read.
var systemWords = regexp.MustCompile(`file or directory|permission denied|not permitted|not a directory|strconv|parse error|invalid (value|argument|boolean)|provided but|` +
	`needs an argument|already in use|cannot assign|bind:|listen (tcp|udp)|unknown (port|name)|missing port|\bEOF\b|(stat|mkdir) [^ ]+: |open (no|empty|folder)|%!`)

// TestPlainWords: each verb, with what is not there, is something else, or is taken.
func TestPlainWords(t *testing.T) {
	dir := houseIn(t, "127.0.0.1:9")
	t.Chdir(dir)
	t.Setenv("STATE_DIRECTORY", "")
	if err := errors.Join(os.Mkdir("folder", 0o755), os.WriteFile("empty", nil, 0o644)); err != nil {
		t.Fatal(err)
	}
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	heard, err := net.ListenPacket("udp", ":0")
	if err != nil {
		t.Fatal(err)
	}
	defer heard.Close()
	_, page, _ := net.SplitHostPort(taken.Addr().String())
	_, port, _ := net.SplitHostPort(heard.LocalAddr().String())
	said := map[string]string{
		"capture house.yaml -o no/such":                              "pawl capture: cannot write no/such: its folder is not there\n",
		"capture house.yaml -o empty/such":                           "pawl capture: cannot write empty/such: what should be its folder is a file\n",
		"capture house.yaml -o folder":                               "pawl capture: folder is there already and is not overwritten; name another\n",
		"capture nowhere.yaml -o x":                                  "nowhere.yaml:1:1: cannot read the file: no such file\n",
		"watch folder":                                               "folder:1:1: cannot read the file: it is not an ordinary file\n",
		"watch empty/x":                                              "empty/x:1:1: cannot read the file: what should be its folder is a file\n",
		"replay house.yaml nowhere":                                  "pawl replay: nowhere: no such file\n",
		"replay house.yaml folder":                                   "it is a folder; name one capture in it\n",
		"replay house.yaml empty":                                    "the file is empty\n",
		"replay house.yaml empty --limits folder":                    "folder:1:1: cannot read the file: it is not an ordinary file\n",
		"keys nowhere.yaml":                                          "nowhere.yaml:1:1: cannot read the file: no such file\n",
		"keys house.yaml --revoke x":                                 "pawl keys: x: no such key is in force; pawl keys house.yaml lists those that are\n",
		"listen --capture nowhere":                                   "pawl listen: cannot read the capture: nowhere: no such file\n",
		"listen --port 1024 --draft no/such":                         "pawl listen: cannot write no/such: its folder is not there\n",
		"listen --port " + port:                                      "the port is taken, perhaps by another Pawl",
		"listen --desk 192.0.2.1:many":                               `the desk's port "many"; want a number from 1 to 65535`,
		"start new.yaml --map folder":                                "cannot read the map folder: it is not an ordinary file\n",
		"start no/such.yaml":                                         "pawl start: cannot write no/desk.map.yaml: its folder is not there\n",
		"start new.yaml --port " + port + " --page 127.0.0.1:0":      "the port is taken, perhaps by another Pawl",
		"start new.yaml --desk 127.0.0.1:9 --page 127.0.0.1:" + page: "the port is taken: another Pawl may be running",
		"start new.yaml --desk 127.0.0.1:9 --page abc":               "pawl start: the page at abc: want an address of this machine and a port",
		"start new.yaml --desk 127.0.0.1:9 --page 127.0.0.1:99999":   "want an address of this machine and a port",
		"start new.yaml --desk 127.0.0.1:9 --page 203.0.113.9:10780": "this machine has no such address; write the port alone",
		"demo --port " + page:                                        "the port is taken: another Pawl may be running",
		"review --record nowhere":                                    "there is no record at nowhere;",
		"review --record empty":                                      "empty is no record of Pawl's; nothing in it was touched\n",
		"check --limits nowhere":                                     "pawl check: nowhere: no such file; ",
	}
	for args, want := range said {
		var out, errs bytes.Buffer
		if got := run(strings.Fields(args), &out, &errs); got != exitWrong {
			t.Errorf("pawl %s: exit %d, want %d", args, got, exitWrong)
		}
		if text := errs.String(); !strings.Contains(text, want) || systemWords.MatchString(text) {
			t.Errorf("pawl %s said %q, want %q in it, and no words of Go", args, text, want)
		}
	}
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
		{"a flag mistyped", []string{"demo", "--prot", "1"}, exitUsage, "pawl demo: no flag --prot; did you mean --port?"},
		{"a flag with nothing behind it", []string{"capture", "a", "-o"}, exitUsage, "pawl capture: --o: want something behind it"},
		{"a port of letters", []string{"demo", "--port", "abc"}, exitUsage, `pawl demo: --port "abc": want a whole number`},
		{"a speed of letters", []string{"demo", "--speed", "fast"}, exitUsage, `pawl demo: --speed "fast": want a number`},
		{"a time without a unit", []string{"listen", "--port", "1", "--for", "10"}, exitUsage, `pawl listen: --for "10": want a time such as 60s`},
		{"neither yes nor no", []string{"watch", "a", "--json=maybe"}, exitUsage, `pawl watch: --json "maybe": want true or false`},
		{"a level of letters", []string{"demo", "--log-level", "loud"}, exitUsage, `pawl demo: --log-level "loud": want debug, info, warn or error`},
		{"a role of no screen", []string{"keys", "a", "--invite", "king"}, exitUsage, `pawl keys: --invite "king": no role "king"; there are watch, coach and installer`},
		{"a port below all", []string{"start", "--port", "-5"}, exitUsage, "pawl start: --port -5: want 1 to 65535"},
		{"a speed of nothing", []string{"demo", "--speed", "0"}, exitUsage, "0.1 to 50"},
		{"flags after words", []string{"replay", "a", "b", "--from", "somewhere"}, exitUsage, "somewhere"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out, errs bytes.Buffer
			if got := run(c.args, &out, &errs); got != c.code {
				t.Errorf("exit %d, want %d", got, c.code)
			}
			if text := fmt.Sprint(&out, &errs); !strings.Contains(text, c.want) || systemWords.MatchString(text) {
				t.Errorf("said %q, want %q in it, and no words of Go", text, c.want)
			}
		})
	}
}
