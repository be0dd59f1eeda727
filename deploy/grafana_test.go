package deploy

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"gopkg.in/yaml.v3"
)

// board is what the tests read of the dashboard.
type board struct {
	Title      string `json:"title"`
	Templating struct {
		List []struct {
			Name  string          `json:"name"`
			Type  string          `json:"type"`
			Query json.RawMessage `json:"query"`
		} `json:"list"`
	} `json:"templating"`
	Panels []panel `json:"panels"`
}

type panel struct {
	ID          int    `json:"id"`
	Title       string `json:"title"`
	Description string `json:"description"`
	GridPos     struct{ X, Y, W, H int }
	Datasource  struct{ UID string }
	FieldConfig struct {
		Defaults struct{ Unit string }
	}
	Targets []struct {
		RefID, Expr, LegendFormat string
		Datasource                struct{ UID string }
	}
}

func readBoard(t *testing.T) (b board) {
	t.Helper()
	text, err := os.ReadFile("grafana/pawl.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &b); err != nil {
		t.Fatal(err)
	}
	if len(b.Panels) < 10 {
		t.Fatalf("%d panels were found in %q", len(b.Panels), b.Title)
	}
	return b
}

// TestDashboardIsWhole: every panel has a name, says what is seen in it and in which unit,
// has a place of its own, and asks whichever Prometheus and Pawl were chosen.
func TestDashboardIsWhole(t *testing.T) {
	ids, taken := map[int]bool{}, map[[2]int]string{}
	for _, p := range readBoard(t).Panels {
		if ids[p.ID] || p.Title == "" || !strings.HasSuffix(p.Description, ".") || p.FieldConfig.Defaults.Unit == "" || p.Datasource.UID != "${datasource}" || len(p.Targets) == 0 {
			t.Errorf("panel %d, %q: want a number of its own, a title, a description, a unit, the chosen source and a query", p.ID, p.Title)
		}
		ids[p.ID] = true
		refs := map[string]bool{}
		for _, q := range p.Targets {
			if refs[q.RefID] || q.LegendFormat == "" || q.Datasource.UID != "${datasource}" || strings.Count(q.Expr, `instance=~"$instance"`) != len(selectors.FindAllString(q.Expr, -1)) {
				t.Errorf("%s: the query %s %q wants a letter of its own, a legend, the chosen source, and the chosen Pawl of every metric", p.Title, q.RefID, q.Expr)
			}
			refs[q.RefID] = true
		}
		for x := p.GridPos.X; x < p.GridPos.X+p.GridPos.W; x++ {
			for y := p.GridPos.Y; y < p.GridPos.Y+p.GridPos.H; y++ {
				if other, ok := taken[[2]int{x, y}]; ok || x >= 24 {
					t.Fatalf("%s lies over %q, or outside of the 24 columns", p.Title, other)
				}
				taken[[2]int{x, y}] = p.Title
			}
		}
	}
}

// selectors are the metrics that an expression asks for, with their labels.
var selectors = regexp.MustCompile(`\b(?:pawl_|process_|up\b)[a-z_]*(?:\{[^}]*\})?`)

// begin starts a program that lives as long as the test, and gives what the first group of
// a pattern matches in what it says on stderr.
func begin(t *testing.T, want string, env []string, program string, args ...string) string {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), program, args...)
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	cmd.Env = append(os.Environ(), env...)
	said, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines, ended := bufio.NewScanner(said), make(chan struct{})
	found := make(chan string, 1)
	go func() {
		defer close(ended)
		var all strings.Builder
		for pattern, waits := regexp.MustCompile(want), true; lines.Scan(); {
			fmt.Fprintln(&all, lines.Text())
			if match := pattern.FindStringSubmatch(lines.Text()); waits && match != nil {
				waits = false
				found <- match[1]
			}
		}
		if err := cmd.Wait(); t.Context().Err() == nil {
			t.Errorf("%s ended, %v:\n%s", filepath.Base(program), err, all.String())
		}
	}()
	t.Cleanup(func() { <-ended })
	select {
	case address := <-found:
		return address
	case <-ended:
		t.FailNow()
		return ""
	}
}

// server is a Prometheus.
type server struct {
	t       *testing.T
	address string
}

// ask asks its API, which must understand the question, and reads what it answers.
func (s server) ask(path string, query url.Values, into any) {
	s.t.Helper()
	request, err := http.NewRequestWithContext(s.t.Context(), "GET", "http://"+s.address+path+"?"+query.Encode(), nil)
	if err != nil {
		s.t.Fatal(err)
	}
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		s.t.Fatal(err)
	}
	defer answer.Body.Close()
	a := struct {
		Status string
		Error  string
		Data   any
	}{Data: into}
	if err := json.NewDecoder(answer.Body).Decode(&a); err != nil || a.Status != "success" {
		s.t.Fatalf("%s %v: %v %s %s", path, query, err, a.Status, a.Error)
	}
}

// ready waits until it has opened its store.
func (s server) ready() {
	s.t.Helper()
	for status := 0; status != http.StatusOK; {
		answer, err := http.Get("http://" + s.address + "/-/ready")
		if err != nil {
			s.t.Fatal(err)
		}
		answer.Body.Close()
		status = answer.StatusCode
	}
}

// series is how many series an expression gives now.
func (s server) series(expr string) int {
	s.t.Helper()
	var data struct{ Result []json.RawMessage }
	s.ask("/api/v1/query", url.Values{"query": {expr}}, &data)
	return len(data.Result)
}

// until asks each expression until the answer is as wanted. The test's own deadline is the
// only one.
func (s server) until(what string, exprs map[string]string, wanted func(series int) bool) {
	s.t.Helper()
	deadline, bounded := s.t.Deadline()
	for len(exprs) > 0 {
		for whose, expr := range exprs {
			switch n := s.series(expr); {
			case wanted(n):
				delete(exprs, whose)
			case bounded && time.Until(deadline) < 10*time.Second:
				s.t.Errorf("%s: want %s of %s; it gives %d series", whose, what, expr, n)
				delete(exprs, whose)
			}
		}
	}
}

func some(series int) bool { return series > 0 }
func none(series int) bool { return series == 0 }

// ofTheMachine are alerts that a machine which is busy with other tests may rightly give.
var ofTheMachine = map[string]bool{"PawlLoopLag": true, "PawlLoopStuck": true, "PawlPacketsDropped": true}

// TestDashboardAndAlertsOnADemo has a Prometheus, by the example of how to scrape, watch a
// demo: every query of the dashboard shows something, every metric that an alert asks for
// is there, and no alert tells while all is well.
func TestDashboardAndAlertsOnADemo(t *testing.T) {
	prometheus := prometheusTool(t, "prometheus")
	folder := t.TempDir()
	pawl := filepath.Join(folder, "pawl")
	build := exec.Command("go", "build", "-o", pawl, "../cmd/pawl")
	build.Env = append(os.Environ(), "CGO_ENABLED=0", "GOFLAGS="+strings.ReplaceAll(os.Getenv("GOFLAGS"), "-race", ""))
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("go build: %v\n%s", err, out)
	}
	page := begin(t, `http://(\S+)/`, []string{"TMPDIR=" + folder}, pawl, "demo", "--port", "0", "--speed", "20", "--json")
	s := server{t, begin(t, `msg="Listening on".* address=(\S+)`, nil, prometheus, "--config.file="+scraping(t, folder, page),
		"--storage.tsdb.path="+filepath.Join(folder, "data"), "--web.listen-address=127.0.0.1:0")}

	s.ready()
	b := readBoard(t)
	shown := map[string]string{}
	fill := strings.NewReplacer("$__rate_interval", "10s", "$__range", "1m", "$instance", ".+")
	for _, p := range b.Panels {
		for _, q := range p.Targets {
			shown[p.Title+", "+q.LegendFormat] = fill.Replace(q.Expr)
		}
	}
	s.until("something to show", shown, some)
	var pawls []string
	s.ask("/api/v1/label/instance/values", url.Values{"match[]": {choiceOf(t, b)}}, &pawls)
	if len(pawls) != 1 || pawls[0] != page {
		t.Errorf("there is a choice of %q, want %s", pawls, page)
	}

	var loaded alertFile
	s.ask("/api/v1/rules", nil, &loaded)
	needed, quiet := map[string]string{}, map[string]string{}
	for _, a := range readRules(t).all() {
		for _, selector := range selectors.FindAllString(a.Expr, -1) {
			needed[a.Alert+", "+selector] = selector
		}
		if !ofTheMachine[a.Alert] {
			quiet[a.Alert] = a.Expr
		}
		s.series(a.Expr) // which must be understood
	}
	if len(loaded.Groups) != 1 || len(loaded.Groups[0].Rules) != len(readRules(t).all()) {
		t.Errorf("Prometheus has loaded %+v", loaded)
	}
	s.until("the metric", needed, some)
	s.until("silence", quiet, none)
}

// scraping is the example of how to scrape, of this Pawl and in a hurry.
func scraping(t *testing.T, folder, page string) string {
	t.Helper()
	var config map[string]any
	example, err := os.ReadFile("prometheus/prometheus.yml")
	if err != nil {
		t.Fatal(err)
	}
	mine := strings.NewReplacer("127.0.0.1:10780", page, "_interval: 15s", "_interval: 1s").Replace(string(example))
	if err := yaml.Unmarshal([]byte(mine), &config); err != nil || strings.Count(mine, page) != 1 || strings.Contains(mine, "15s") {
		t.Fatalf("the example cannot be made to scrape %s once a second: %v\n%s", page, err, mine)
	}
	rules, err := os.ReadFile("prometheus/pawl.rules.yml")
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, filepath.Join(folder, "pawl.rules.yml"), rules)
	file := filepath.Join(folder, "prometheus.yml")
	writeFile(t, file, []byte(mine))
	return file
}

// choiceOf is the metric whose instances the dashboard lets one choose from.
func choiceOf(t *testing.T, b board) string {
	t.Helper()
	for _, v := range b.Templating.List {
		if match := regexp.MustCompile(`label_values\((\w+), instance\)`).FindSubmatch(v.Query); v.Name == "instance" && match != nil {
			return string(match[1])
		}
	}
	t.Fatal("the dashboard has no choice of an instance")
	return ""
}
