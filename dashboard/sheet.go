package dashboard

import (
	"bytes"
	_ "embed"
	"html/template"
	"net/http"
	"slices"

	"pawl/rules"
	"pawl/rules/words"
)

// sheetText is the one page for volunteers, to print and lay beside the desk. Its words are
// the catalogues', in a section of their own.
//
//go:embed sheet.gohtml
var sheetText string

// sheetPart is a part of the operator's page, where it stands in the drawing.
type sheetPart struct {
	Number int
	Name   string
	X, Y   int
}

// Below is where the foot of its number stands.
func (p sheetPart) Below() float64 { return float64(p.Y) + 4.5 }

var sheetParts = []sheetPart{
	{1, "verdict", 212, 22}, {2, "beam", 212, 59}, {3, "line", 212, 81}, {4, "tide", 36, 130}, {5, "card", 305, 108}, {6, "foot", 305, 191},
}

// sheetMoments are what may happen, in the order of an evening.
var sheetMoments = []string{"before", "card", "climbs", "stage", "old", "unsure"}

// sheet writes the page for a reader; with a style of its own it asks nobody for anything.
func sheet(s *words.Speaker, others []words.Language, assets, style string) ([]byte, error) {
	say := func(name string) string { return s.Say(rules.Say("sheet." + name)) }
	t, err := template.New("sheet").Funcs(template.FuncMap{"say": say}).Parse(sheetText)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	err = t.Execute(&out, map[string]any{
		"Language": s.Tag(), "Others": others, "Assets": assets, "Style": template.CSS(style), "Parts": sheetParts, "Moments": sheetMoments,
	})
	return out.Bytes(), err
}

// sheet answers with the page in the reader's language.
func (s *Server) sheet(w http.ResponseWriter, r *http.Request) {
	speaker := s.speaker(r)
	others := slices.DeleteFunc(s.options.Words.Languages(), func(l words.Language) bool { return l.Tag == speaker.Tag() })
	page, err := sheet(speaker, others, "/assets/"+s.assets.hash, "")
	if err != nil {
		plain(w, http.StatusInternalServerError, "write the sheet: "+err.Error())
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	_, _ = w.Write(page)
}
