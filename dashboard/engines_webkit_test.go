package dashboard

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"testing"
	"time"
)

// webkit is the engine of many tablets, in the small browser that comes with its GTK port,
// on a display that nobody sees. It speaks WebDriver, a recommendation of the W3C.
type webkit struct {
	*testing.T
	session string // the address of ours
}

func newWebKit(t *testing.T) engine {
	driver, at := wanted(t, "WebKitWebDriver"), freePort(t)
	// In the locale C.UTF-8, which is what a small box without a desktop has, this engine gives
	// pages a language that is no language. It gets no bus, for it would start one, and that
	// starts more, all of which stay when it goes.
	start(t, io.Discard, []string{"DISPLAY=" + newDisplay(t), "GDK_BACKEND=x11", "HOME=" + t.TempDir(), "XDG_RUNTIME_DIR=" + t.TempDir(), "TZ=UTC", "LC_ALL=C.UTF-8",
		"NO_AT_BRIDGE=1", "DBUS_SESSION_BUS_ADDRESS=disabled:"}, driver, "--host=127.0.0.1", "--port="+at)
	k := &webkit{T: t, session: "http://127.0.0.1:" + at}
	k.begin()
	return k
}

// newDisplay starts one that nobody sees, and gives its name. It is larger than any window asked
// for, which has a bar besides its page.
func newDisplay(t *testing.T) string {
	program := wanted(t, "Xvfb")
	r, w := io.Pipe()
	start(t, w, nil, program, "-displayfd", "1", "-screen", "0", "2000x1400x24", "-nolisten", "tcp")
	for lines := bufio.NewScanner(r); lines.Scan(); {
		if number, err := strconv.Atoi(lines.Text()); err == nil { // and no warning
			go func() { _, _ = io.Copy(io.Discard, r) }() // or it would wait for us
			return fmt.Sprint(":", number)
		}
	}
	t.Fatal("Xvfb ended before it had a display")
	return ""
}

func freePort(t *testing.T) string {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	return port
}

// begin opens a session as soon as the driver listens.
func (k *webkit) begin() {
	k.Helper()
	until := time.Now().Add(time.Minute)
	for {
		answer, err := http.Get(k.session + "/status")
		if err == nil {
			answer.Body.Close()
			break
		}
		if time.Now().After(until) {
			k.Fatal(err)
		}
		<-time.After(20 * time.Millisecond)
	}
	var made struct{ SessionID string }
	k.call("POST", "/session", map[string]any{"capabilities": map[string]any{}}, &made) // it knows its browser
	k.session += "/session/" + made.SessionID
	k.Cleanup(func() { k.call("DELETE", "", nil, nil) })
	k.call("POST", "/timeouts", map[string]any{"script": 60000}, nil)
}

func (k *webkit) call(method, path string, params, result any) {
	k.Helper()
	var body io.Reader
	if params != nil {
		b, err := json.Marshal(params)
		if err != nil {
			k.Fatal(err)
		}
		body = bytes.NewReader(b)
	}
	r, err := http.NewRequest(method, k.session+path, body)
	if err != nil {
		k.Fatal(err)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		k.Fatal(err)
	}
	defer answer.Body.Close()
	var got struct{ Value json.RawMessage }
	if err := json.NewDecoder(answer.Body).Decode(&got); err != nil || answer.StatusCode != http.StatusOK {
		k.Fatalf("%s %s: %s %s %v", method, path, answer.Status, got.Value, err)
	}
	if result != nil {
		if err := json.Unmarshal(got.Value, result); err != nil {
			k.Fatal(err)
		}
	}
}

// open makes the window as large as its page must be, which is known once there is a page.
func (k *webkit) open(address string, width, height int) {
	k.Helper()
	rect := map[string]any{"width": width, "height": height}
	k.call("POST", "/url", map[string]any{"url": address}, nil)
	k.call("POST", "/window/rect", rect, nil)
	var wide, high int
	if _, err := fmt.Sscan(k.evaluate(`innerWidth + " " + innerHeight`), &wide, &high); err != nil {
		k.Fatal(err)
	}
	rect["width"], rect["height"] = 2*width-wide, 2*height-high
	k.call("POST", "/window/rect", rect, nil)
	k.evaluate(`(globalThis.complaints = [], addEventListener("error", e => complaints.push(e.message + " " + e.filename + ":" + e.lineno)),
		addEventListener("unhandledrejection", e => complaints.push(String(e.reason))))`)
}

func (k *webkit) evaluate(expression string) string {
	k.Helper()
	script := `const done = arguments[0]; Promise.resolve().then(() => (` + expression + `)).then(got => done({got: String(got)}), e => done({failed: String(e)}))`
	var said struct{ Got, Failed string }
	k.call("POST", "/execute/async", map[string]any{"script": script, "args": []string{}}, &said)
	if said.Failed != "" {
		k.Fatalf("%s: %s", expression, said.Failed)
	}
	return said.Got
}

// press moves a pointer there and presses, and the driver refuses if something else lies there.
func (k *webkit) press(selector string) {
	k.Helper()
	var found map[string]string // one entry, under a name that the recommendation fixes
	k.call("POST", "/element", map[string]any{"using": "css selector", "value": selector}, &found)
	for _, element := range found {
		k.call("POST", "/element/"+element+"/click", map[string]any{}, nil)
	}
}

func (k *webkit) screenshot() []byte {
	k.Helper()
	var png []byte // which encoding/json reads as base64
	k.call("GET", "/screenshot", nil, &png)
	return png
}

// complaints are those since the page was opened: this driver keeps no log. A fault before
// would leave a page that shows nothing.
func (k *webkit) complaints() []string {
	k.Helper()
	if all := k.evaluate(`complaints.join("; ")`); all != "" {
		return []string{all}
	}
	return nil
}
