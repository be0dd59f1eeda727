package dashboard

import (
	"regexp"
	"testing"

	"pawl/daemon/house"
	"pawl/rules"
)

// TestOfferedLimitsAreSome: whoever presses without writing anything gets an answer.
func TestOfferedLimitsAreSome(t *testing.T) {
	page, err := web.ReadFile("web/service.html")
	if err != nil {
		t.Fatal(err)
	}
	offered := regexp.MustCompile(`(?s)<textarea id="otherwise-limits"[^>]*>(.*?)</textarea>`).FindSubmatch(page)
	if offered == nil {
		t.Fatal("no limits are offered")
	}
	limits, faults := house.LimitsOf("limits", "house: Harbour Hall\n"+string(offered[1]))
	if faults.Wrong() {
		t.Errorf("the limits that the page offers cannot be used: %v", faults)
	}
	if limits == rules.DefaultLimits() {
		t.Error("the limits that the page offers are the usual ones: there is nothing to compare")
	}
}
