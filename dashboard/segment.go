package dashboard

import (
	"errors"
	"net/http"

	"pawl/rules"
	"pawl/rules/desk"
)

// segmentAsked is the body of a POST to /api/segment.
type segmentAsked struct {
	Kind desk.SegmentKind `json:"kind"`
	Name string           `json:"name"`
	Next bool             `json:"next"` // the next part of the running order
	Back bool             `json:"back"` // take the last one back
}

// segment begins another part of the service, for whoever is no page of ours.
func (s *Server) segment(w http.ResponseWriter, r *http.Request) {
	var asked segmentAsked
	s.posted(w, r, rules.NewSegment, &asked, `{"kind":"speech","name":"the reading"}, {"next":true} or {"back":true}`, func() (rules.Press, error) {
		p := rules.Press{Do: rules.NewSegment, Kind: asked.Kind, Text: asked.Name, Next: asked.Next}
		if asked.Back {
			p = rules.Press{Do: rules.Back}
		}
		if asked.Back && asked.Next || (asked.Back || asked.Next) && (asked.Kind != desk.AnyKind || asked.Name != "") {
			return p, errors.New("next and back stand alone")
		}
		return p, nil
	})
}
