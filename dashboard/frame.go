package dashboard

import (
	"encoding/json"

	"github.com/gorilla/websocket"
)

// frame is one message to a page: "whole" for all that it shows, "beat" for what
// is new. FRAMES.md describes them.
type frame struct {
	Frame string `json:"frame"`
	Page  string `json:"page,omitempty"` // in a whole frame: which page this server serves
	State State  `json:"state"`
	Tide  []Tide `json:"tide"`
	Steps []Step `json:"steps"`
}

// answer is said to the one page that sent a command.
type answer struct {
	Frame   string `json:"frame"` // "answer"
	Do      string `json:"do"`
	Number  int    `json:"number"`
	Refused string `json:"refused"` // why not, in plain words; "" when it was done
}

func (f frame) encode() ([]byte, error) {
	f.State = f.State.listed()
	f.Tide, f.Steps = list(f.Tide), list(f.Steps)
	return json.Marshal(f)
}

// prepare encodes f once for any number of tablets.
func (f frame) prepare() (*websocket.PreparedMessage, error) {
	data, err := f.encode()
	if err != nil {
		return nil, err
	}
	return websocket.NewPreparedMessage(websocket.TextMessage, data)
}

func (a answer) prepare() (*websocket.PreparedMessage, error) {
	data, err := json.Marshal(a)
	if err != nil {
		return nil, err
	}
	return websocket.NewPreparedMessage(websocket.TextMessage, data)
}
