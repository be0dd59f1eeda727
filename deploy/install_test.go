package deploy

import (
	"regexp"
	"strings"
	"testing"
)

// notRun are the commands of INSTALL.md that no test runs, and why.
var notRun = map[string]string{
	"sudo nano /etc/pawl/house.yaml":                                    "a person's editor",
	"sudo pawl review --html service.html --house /etc/pawl/house.yaml": "wants a service in the record; cmd/pawl's script review.txtar runs it",
}

var (
	pageBlock = regexp.MustCompile("(?ms)^```sh\n(.*?)^```$")
	bootLine  = regexp.MustCompile(`(?m)\bpage '([^']*)'`)
)

// TestInstallPage holds INSTALL.md to testdata/boot.sh, which TestMachine runs on a bare
// machine: a command that is on the page is run there, and one that is run there is on it.
func TestInstallPage(t *testing.T) {
	page := read(t, "INSTALL.md")
	onPage := map[string]bool{}
	for _, block := range pageBlock.FindAllStringSubmatch(page, -1) {
		for line := range strings.Lines(block[1]) {
			onPage[strings.TrimSpace(line)] = true
		}
	}
	run := map[string]bool{}
	for _, m := range bootLine.FindAllStringSubmatch(read(t, "testdata/boot.sh"), -1) {
		run[m[1]] = true
		if !onPage[m[1]] {
			t.Errorf("boot.sh runs %q, which is not in INSTALL.md", m[1])
		}
	}
	for line := range onPage {
		if !run[line] && notRun[line] == "" {
			t.Errorf("INSTALL.md has %q, which boot.sh does not run", line)
		}
	}
	for line := range notRun {
		if !onPage[line] {
			t.Errorf("%q is in notRun, and not in INSTALL.md", line)
		}
	}
	if len(onPage) < 20 {
		t.Errorf("only %d commands are found in INSTALL.md", len(onPage))
	}
	// What the package says after it was installed is the page's own line.
	if postinst := read(t, "package/postinst"); !strings.Contains(postinst, "sudo pawl start /etc/pawl/house.yaml --files-only --page :10780 && sudo systemctl start pawl") {
		t.Error("postinst names another first command than INSTALL.md")
	}
	if !strings.Contains(read(t, "../README.md"), "(deploy/INSTALL.md)") {
		t.Error("README.md does not link to INSTALL.md")
	}
}
