package review

import "pawl/rules"

// Check is a line check that ended in a service.
type Check struct {
	When
	Lines []string `json:"lines"` // its summary, and then each remark with what to do
}

func (c *course) checks() []Check {
	all := []Check{}
	for _, e := range c.entries {
		if l, ok := e.Entry.(*rules.LineChecked); ok && l.State == rules.LineEnded {
			all = append(all, Check{When: c.when(e.t), Lines: c.Speaker.LineSummary(l)})
		}
	}
	return all
}
