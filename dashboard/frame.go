package dashboard

import (
	"encoding/json"

	"github.com/gorilla/websocket"

	"pawl/rules"
	"pawl/rules/words"
)

// frame is one message to a page: "whole" for all that it shows, "beat" for what
// is new. FRAMES.md describes them.
type frame struct {
	Frame     string           `json:"frame" is:"whole,beat"`
	Page      string           `json:"page,omitempty" like:"^[0-9a-f]{16}$"` // in a whole frame: which page this server serves
	Language  string           `json:"language"`                             // that its words are in
	Languages []words.Language `json:"languages,omitempty"`                  // in a whole frame: those to choose from
	Now       Now              `json:"now"`
	Entries   []rules.Entry    `json:"entries"` // that are new; in a whole frame, of the last ten minutes

	// To a coach's page alone, and only when they are new.
	Ledger *rules.Ledger `json:"ledger,omitempty"`
	Book   *rules.Book   `json:"book,omitempty"`

	coaching coaching
	coach    bool // it is for a coach's page
}

// answer is said to the one page that sent a press.
type answer struct {
	Frame   string `json:"frame" is:"answer"`
	Do      string `json:"do"` // as it was sent
	Number  int    `json:"number"`
	Refused string `json:"refused"` // why not, in plain words; "" when it was done
}

// encode writes a frame in a reader's language.
func (f frame) encode(v *voice) ([]byte, error) {
	f.Language = v.Tag()
	if f.coach {
		f.Ledger, f.Book = v.ledger(f.coaching.Ledger), v.book(f.coaching.Book)
	}
	f.Now = f.Now.in(v)
	f.Entries = each(f.Entries, v.entry)
	return json.Marshal(f)
}

// prepare encodes v once for any number of tablets.
func prepare(data []byte, err error) (*websocket.PreparedMessage, error) {
	if err != nil {
		return nil, err
	}
	return websocket.NewPreparedMessage(websocket.TextMessage, data)
}
