package daemon

import (
	"fmt"
	"time"

	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
)

// A press is kept among the packets as an OSC message of our own, so that any packet
// tool shows it and a replay obeys it. README.md lists the addresses.
const (
	pressAddress = "/pawl/press/"
	houseAddress = "/pawl/house"
	endAddress   = "/pawl/end"
)

// pressPacket is a press as it stands in a capture.
func pressPacket(p rules.Press) ([]byte, error) {
	address := pressAddress + string(p.Do)
	switch p.Do {
	case rules.Seen, rules.NotNow, rules.BringBack, rules.LineAsk, rules.LineDone, rules.LineLater, rules.TellSeen, rules.TellBack, rules.OrderRemove:
		return wire.AppendMessage(nil, address, int32(p.Number))
	case rules.OrderMove:
		return wire.AppendMessage(nil, address, int32(p.Number), int32(p.Place))
	case rules.OrderRename:
		return wire.AppendMessage(nil, address, int32(p.Number), p.Text)
	case rules.OrderKind:
		return wire.AppendMessage(nil, address, int32(p.Number), string(p.Kind))
	case rules.OrderAdd:
		return wire.AppendMessage(nil, address, string(p.Kind), p.Text, int32(p.Place))
	case rules.Hold, rules.LineCheck:
		return wire.AppendMessage(nil, address, p.On)
	case rules.NewSegment:
		if p.Next {
			return wire.AppendMessage(nil, address, string(p.Kind), p.Text, true)
		}
		return wire.AppendMessage(nil, address, string(p.Kind), p.Text)
	case rules.Note, rules.Question:
		if p.At != 0 {
			return wire.AppendMessage(nil, address, p.Text, time.Duration(p.At).Milliseconds())
		}
		return wire.AppendMessage(nil, address, p.Text)
	case rules.Tell:
		return wire.AppendMessage(nil, address, p.Text)
	}
	return wire.AppendMessage(nil, address)
}

// housePacket says in a capture that the house file was read again here.
func housePacket(name string) ([]byte, error) { return wire.AppendMessage(nil, houseAddress, name) }

// endPacket says in a capture that the judge was alive until here: a desk that had gone
// silent by then was heard to be, which a capture that was cut off does not tell.
func endPacket() ([]byte, error) { return wire.AppendMessage(nil, endAddress) }

func isEnd(data []byte) bool {
	var r wire.Reader
	r.Reset(data)
	return r.Next() && string(r.Message().Address) == endAddress
}

// ourMessage reads a packet that we wrote: a press, or that the house file was read
// again.
func ourMessage(data []byte) (p rules.Press, reread bool, err error) {
	var r wire.Reader
	r.Reset(data)
	if !r.Next() {
		return p, false, fmt.Errorf("no message in it: %w", r.Err())
	}
	m := r.Message()
	address := string(m.Address)
	if address == houseAddress {
		return p, true, nil
	}
	if len(address) <= len(pressAddress) || address[:len(pressAddress)] != pressAddress {
		return p, false, fmt.Errorf("%q is no press", address)
	}
	p.Do = rules.Do(address[len(pressAddress):])
	first, _ := m.Arg(0)
	second, _ := m.Arg(1)
	third, _ := m.Arg(2)
	switch p.Do {
	case rules.Seen, rules.NotNow, rules.BringBack, rules.LineAsk, rules.LineDone, rules.LineLater, rules.TellSeen, rules.TellBack, rules.OrderRemove:
		p.Number = int(first.Number)
	case rules.OrderMove:
		p.Number, p.Place = int(first.Number), int(second.Number)
	case rules.OrderRename:
		p.Number, p.Text = int(first.Number), string(second.Bytes)
	case rules.OrderKind:
		p.Number, p.Kind = int(first.Number), desk.SegmentKind(second.Bytes)
	case rules.OrderAdd:
		p.Kind, p.Text, p.Place = desk.SegmentKind(first.Bytes), string(second.Bytes), int(third.Number)
	case rules.Hold, rules.LineCheck:
		p.On = first.Number != 0
	case rules.NewSegment:
		p.Kind, p.Text = desk.SegmentKind(first.Bytes), string(second.Bytes)
		p.Next = third.Number != 0
	case rules.Note, rules.Question:
		p.Text, p.At = string(first.Bytes), rules.Moment(time.Duration(second.Number)*time.Millisecond)
	case rules.Tell:
		p.Text = string(first.Bytes)
	}
	return p, false, p.Check()
}
