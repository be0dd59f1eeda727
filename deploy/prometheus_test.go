package deploy

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
)

// prometheusTool finds a program of Debian's prometheus. Without it the test is skipped,
// except in CI.
func prometheusTool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("PAWL_REQUIRE_PEERS") != "" {
		t.Fatalf("%s is required here: install Debian's prometheus", name)
	}
	t.Skipf("%s is not installed (Debian's prometheus)", name)
	return ""
}

// alert is one of pawl.rules.yml.
type alert struct {
	Alert       string            `yaml:"alert"`
	Expr        string            `yaml:"expr"`
	For         string            `yaml:"for,omitempty"`
	Labels      map[string]string `yaml:"labels"`
	Annotations map[string]string `yaml:"annotations,omitempty"`
}

type alertFile struct {
	Groups []struct {
		Name  string  `yaml:"name"`
		Rules []alert `yaml:"rules"`
	} `yaml:"groups"`
}

func (f alertFile) all() (all []alert) {
	for _, g := range f.Groups {
		all = append(all, g.Rules...)
	}
	return all
}

// readYAML reads a file that must hold nothing but what is asked for.
func readYAML(t *testing.T, file string, into any) {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	d := yaml.NewDecoder(bytes.NewReader(b))
	d.KnownFields(true)
	if err := d.Decode(into); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
}

func writeYAML(t *testing.T, file string, what any) {
	t.Helper()
	b, err := yaml.Marshal(what)
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, file, b)
}

func writeFile(t *testing.T, file string, b []byte) {
	t.Helper()
	if err := os.WriteFile(file, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

func readRules(t *testing.T) (f alertFile) {
	t.Helper()
	readYAML(t, "prometheus/pawl.rules.yml", &f)
	return f
}

// promtool runs it, and fails the test with what it says if it finds anything.
func promtool(t *testing.T, args ...string) {
	t.Helper()
	out, err := exec.Command(prometheusTool(t, "promtool"), args...).CombinedOutput()
	if err != nil {
		t.Errorf("promtool %s: %v\n%s", strings.Join(args, " "), err, out)
	}
}

// TestPrometheusChecks has Prometheus' own tool read the rules and the example of how to
// scrape, as it stands and with the key that another machine needs.
func TestPrometheusChecks(t *testing.T) {
	promtool(t, "check", "rules", "prometheus/pawl.rules.yml")
	promtool(t, "check", "config", "prometheus/prometheus.yml")

	example, err := os.ReadFile("prometheus/prometheus.yml")
	if err != nil {
		t.Fatal(err)
	}
	const key = "/etc/prometheus/pawl.key"
	folder := t.TempDir()
	mine := filepath.Join(folder, "pawl.key")
	withKey := bytes.Replace(example, []byte("# authorization: "), []byte("authorization: "), 1)
	withKey = bytes.Replace(withKey, []byte("# alerting: "), []byte("alerting: "), 1)
	withKey = bytes.Replace(withKey, []byte(key), []byte(mine), 1)
	if !bytes.Contains(withKey, []byte("\n    authorization: ")) || !bytes.Contains(withKey, []byte("\nalerting: ")) || !bytes.Contains(withKey, []byte(mine)) {
		t.Fatalf("the example has no key in %s and no place for alerts to take the comment off:\n%s", key, example)
	}
	writeFile(t, mine, []byte("secret"))
	rules, err := os.ReadFile("prometheus/pawl.rules.yml")
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, filepath.Join(folder, "pawl.rules.yml"), rules)
	writeFile(t, filepath.Join(folder, "prometheus.yml"), withKey)
	promtool(t, "check", "config", filepath.Join(folder, "prometheus.yml"))
}

// TestAlerts has promtool play what each alert must and must not tell. It wants the words
// of an alert repeated in its test, so they are taken out of the rules here.
func TestAlerts(t *testing.T) {
	rules := readRules(t)
	folder := t.TempDir()
	for _, g := range rules.Groups {
		for i := range g.Rules {
			g.Rules[i].Annotations = nil
		}
	}
	writeYAML(t, filepath.Join(folder, "pawl.rules.yml"), rules)
	tests, err := os.ReadFile("prometheus/pawl.rules.test.yml")
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, filepath.Join(folder, "pawl.rules.test.yml"), tests)
	promtool(t, "test", "rules", filepath.Join(folder, "pawl.rules.test.yml"))
}

// TestEveryAlertIsTestedBothWays: each is seen to tell, and not to: before that and after.
func TestEveryAlertIsTestedBothWays(t *testing.T) {
	var tests struct {
		RuleFiles []string `yaml:"rule_files"`
		Every     string   `yaml:"evaluation_interval"`
		Tests     []struct {
			Name     string `yaml:"name"`
			Interval string `yaml:"interval"`
			Series   []any  `yaml:"input_series"`
			Alerts   []struct {
				At     string `yaml:"eval_time"`
				Alert  string `yaml:"alertname"`
				Expect []any  `yaml:"exp_alerts"`
			} `yaml:"alert_rule_test"`
		} `yaml:"tests"`
	}
	readYAML(t, "prometheus/pawl.rules.test.yml", &tests)
	said := map[string]string{} // of each alert: t for told, n for not, in the order of a test
	for _, one := range tests.Tests {
		for _, a := range one.Alerts {
			if len(a.Expect) > 0 {
				said[a.Alert] += "t"
			} else {
				said[a.Alert] += "n"
			}
		}
		for alert := range said {
			said[alert] += " "
		}
	}
	for _, a := range readRules(t).all() {
		if !regexp.MustCompile(`nt+n`).MatchString(said[a.Alert]) {
			t.Errorf("%s is tested as %q; want a test in which it does not tell, does, and does not any more", a.Alert, said[a.Alert])
		}
		delete(said, a.Alert)
	}
	for alert := range said {
		t.Errorf("there is a test of %s, which is no alert", alert)
	}
}

// TestAlertsSayWhatToDo: each has a name of ours, a weight that is one of two, a line for
// a telephone, and a text that names the Pawl it is about.
func TestAlertsSayWhatToDo(t *testing.T) {
	names := map[string]bool{}
	for _, a := range readRules(t).all() {
		summary, text := a.Annotations["summary"], a.Annotations["description"]
		switch {
		case !regexp.MustCompile(`^Pawl[A-Z][A-Za-z]+$`).MatchString(a.Alert) || names[a.Alert]:
			t.Errorf("an alert is called %q: want a name of its own that begins with Pawl", a.Alert)
		case len(a.Labels) != 1 || a.Labels["severity"] != "now" && a.Labels["severity"] != "later":
			t.Errorf("%s has the labels %v, want a severity of now or later", a.Alert, a.Labels)
		case len(a.Annotations) != 2 || len(summary) == 0 || len(summary) > 70 || strings.Contains(summary, "{{") || strings.HasSuffix(summary, "."):
			t.Errorf("%s has the summary %q, want one line of 70 letters at most", a.Alert, summary)
		case !strings.Contains(text, "$labels.instance") || len(text) < 120 || !strings.HasSuffix(text, "."):
			t.Errorf("%s has the description %q, want which Pawl, what it costs and what to do", a.Alert, text)
		}
		names[a.Alert] = true
	}
	if len(names) < 10 {
		t.Errorf("%d alerts were found", len(names))
	}
}
