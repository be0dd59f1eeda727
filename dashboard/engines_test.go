package dashboard

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/gorilla/websocket"
)

// engine is a browser that is not Chromium, with one window.
type engine interface {
	open(address string, width, height int)
	// evaluate gives what an expression comes to as a text, once its promise is kept.
	evaluate(expression string) string
	screenshot() []byte
	// complaints are what the browser wrote to its console as errors.
	complaints() []string
}

// engines are the browsers besides Chromium in which the page was made to work, by name.
var engines = map[string]func(t *testing.T) engine{"firefox": newFirefox, "webkit": newWebKit}

// wanted skips where a program is absent, or fails if it must be there.
func wanted(t *testing.T, program string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil && os.Getenv("PAWL_REQUIRE_BROWSER") == "1" {
		t.Fatalf("%s is not installed, and PAWL_REQUIRE_BROWSER is 1", program)
	}
	if err != nil {
		t.Skipf("%s is not installed: the page was not looked at with it", program)
	}
	return path
}

// start runs a program until the test ends. Its output goes to out.
func start(t *testing.T, out io.Writer, env []string, program string, args ...string) {
	t.Helper()
	cmd := exec.Command(program, args...)
	cmd.Env = append(os.Environ(), env...)
	cmd.Stdout, cmd.Stderr = out, out
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
}

// lineWith reads until a line has a text in it, and gives what stands behind that.
func lineWith(t *testing.T, r io.Reader, text string) string {
	t.Helper()
	for lines := bufio.NewScanner(r); lines.Scan(); {
		if _, after, found := strings.Cut(lines.Text(), text); found {
			go func() { _, _ = io.Copy(io.Discard, r) }() // or the program would wait for us
			return strings.TrimSpace(after)
		}
	}
	t.Fatalf("a program ended without %q", text)
	return ""
}

// firefox speaks WebDriver BiDi, a draft of the W3C: commands with a number, and answers.
type firefox struct {
	*testing.T
	conn  *websocket.Conn
	id    int
	tab   string
	wrong []string
}

func newFirefox(t *testing.T) engine {
	program := wanted(t, "firefox-esr")
	home := t.TempDir()
	// It asks for nothing of the world outside, and its pages read 24 hours a day as ours do.
	prefs := `user_pref("app.normandy.enabled", false);
user_pref("services.settings.server", "data:,#remote-settings-dummy/v1");
user_pref("browser.shell.checkDefaultBrowser", false);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("network.captive-portal-service.enabled", false);
user_pref("network.connectivity-service.enabled", false);
`
	if err := os.WriteFile(filepath.Join(home, "user.js"), []byte(prefs), 0o600); err != nil {
		t.Fatal(err)
	}
	r, w := io.Pipe()
	start(t, w, []string{"HOME=" + home, "TZ=UTC", "MOZ_HEADLESS=1"}, program, "--headless", "--no-remote", "--profile", home, "--remote-debugging-port=0")
	at := lineWith(t, r, "WebDriver BiDi listening on ")
	conn, _, err := websocket.DefaultDialer.Dial(at+"/session", nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	f := &firefox{T: t, conn: conn}
	f.call("session.new", map[string]any{"capabilities": map[string]any{}}, nil)
	f.call("session.subscribe", map[string]any{"events": []string{"log.entryAdded"}}, nil)
	var tree struct{ Contexts []struct{ Context string } }
	f.call("browsingContext.getTree", map[string]any{}, &tree)
	f.tab = tree.Contexts[0].Context
	return f
}

func (f *firefox) call(method string, params, result any) {
	f.Helper()
	f.id++
	if err := f.conn.WriteJSON(map[string]any{"id": f.id, "method": method, "params": params}); err != nil {
		f.Fatal(err)
	}
	for {
		var m struct {
			ID             int
			Type, Method   string
			Error, Message string
			Result         json.RawMessage
			Params         struct{ Level, Text string }
		}
		if err := f.conn.ReadJSON(&m); err != nil {
			f.Fatal(err)
		}
		if m.Method == "log.entryAdded" && m.Params.Level == "error" {
			f.wrong = append(f.wrong, m.Params.Text)
		}
		if m.ID != f.id {
			continue
		}
		if m.Type != "success" {
			f.Fatalf("%s: %s %s", method, m.Error, m.Message)
		}
		if result != nil {
			if err := json.Unmarshal(m.Result, result); err != nil {
				f.Fatal(err)
			}
		}
		return
	}
}

func (f *firefox) open(address string, width, height int) {
	f.Helper()
	f.call("browsingContext.setViewport", map[string]any{"context": f.tab, "viewport": map[string]int{"width": width, "height": height}}, nil)
	f.call("browsingContext.navigate", map[string]any{"context": f.tab, "url": address, "wait": "complete"}, nil)
}

func (f *firefox) evaluate(expression string) string {
	f.Helper()
	var got struct {
		Type             string
		Result           struct{ Value any }
		ExceptionDetails struct{ Text string }
	}
	f.call("script.evaluate", map[string]any{"expression": expression, "target": map[string]string{"context": f.tab}, "awaitPromise": true}, &got)
	if got.Type != "success" {
		f.Fatalf("%s: %s", expression, got.ExceptionDetails.Text)
	}
	return fmt.Sprint(got.Result.Value)
}

func (f *firefox) screenshot() []byte {
	f.Helper()
	var got struct{ Data []byte } // which encoding/json reads as base64
	f.call("browsingContext.captureScreenshot", map[string]any{"context": f.tab}, &got)
	return got.Data
}

func (f *firefox) complaints() []string { return f.wrong }
