package link

import (
	"fmt"
	"time"
)

// Problem is what is wrong between Pawl and the desk. The zero value is nothing. Whoever
// shows it to a reader has a phrase for each kind; String is for a log.
type Problem struct {
	Kind ProblemKind
	At   string        // whom it is about: the desk as the house calls it, or its address
	More string        // who else sends, what the transport is, or what the system said
	For  time.Duration // how long nothing came
}

// ProblemKind tells problems apart.
type ProblemKind string

// The kinds of problem.
const (
	NoProblem   ProblemKind = ""
	WentSilent  ProblemKind = "went-silent"  // nothing has come from At for so long
	NeverCame   ProblemKind = "never-came"   // nothing has come yet
	NeverAsked  ProblemKind = "never-asked"  // the same, and nothing is asked of the desk
	OthersSend  ProblemKind = "others-send"  // packets come from More, and none from At
	OtherPort   ProblemKind = "other-port"   // nothing has come from At for so long, but from its port More
	PortSilent  ProblemKind = "port-silent"  // nothing has come to our port At for so long
	PortUnused  ProblemKind = "port-unused"  // or nothing yet
	Refused     ProblemKind = "refused"      // nothing listens there
	NoWay       ProblemKind = "no-way"       // the network has no way there
	Firewall    ProblemKind = "firewall"     // this machine lets nothing out
	NotOne      ProblemKind = "not-one"      // the system sends nothing there: it is everybody's address, or forbidden
	Hung        ProblemKind = "hung-up"      // the desk closed the connection
	NoAnswer    ProblemKind = "no-answer"    // it does not answer
	NotPackets  ProblemKind = "not-packets"  // what comes is not in the transport More
	Reconnected ProblemKind = "reconnected"  // nothing came over the connection for so long
	NameUnknown ProblemKind = "name-unknown" // the name At is not known
	OtherFault  ProblemKind = "other"        // the system said More
)

// ProblemKinds are all kinds, but for none.
var ProblemKinds = []ProblemKind{WentSilent, NeverCame, NeverAsked, OthersSend, OtherPort, PortSilent, PortUnused, Refused, NoWay, Firewall, NotOne, Hung, NoAnswer, NotPackets, Reconnected, NameUnknown, OtherFault}

// String says it for whoever reads a log, with what to do.
func (p Problem) String() string {
	switch p.Kind {
	case NoProblem:
		return ""
	case WentSilent:
		return fmt.Sprintf("nothing has come from %s for %v; it is asked again until it answers", p.At, p.For)
	case NeverCame:
		return fmt.Sprintf("nothing has come from %s in %v; check that it is on, and its address and port", p.At, p.For)
	case NeverAsked:
		return fmt.Sprintf("nothing has come from %s in %v; the map asks it nothing, and most desks tell only who asks: see link.ask, or check that it is on", p.At, p.For)
	case OthersSend:
		return fmt.Sprintf("packets come from %s, but none from %s in %v; check the desk's address", p.More, p.At, p.For)
	case OtherPort:
		return fmt.Sprintf("nothing has come from %s for %v, but packets come from its port %s: write that port, or any-port: yes in the house file", p.At, p.For, p.More)
	case PortSilent:
		return fmt.Sprintf("nothing has come from anyone to port %s for %v; it is asked again until it answers", p.At, p.For)
	case PortUnused:
		return fmt.Sprintf("nothing has come from anyone to port %s in %v; check that it is on, and its address and port", p.At, p.For)
	case Refused:
		return fmt.Sprintf("nothing listens at %s; check that the desk is on, and its port", p.At)
	case NoWay:
		return fmt.Sprintf("the network has no way to %s; check the cable, and that this machine has an address in the desk's network", p.At)
	case Firewall:
		return fmt.Sprintf("this machine's firewall lets nothing out to %s; allow it there", p.At)
	case NotOne:
		return fmt.Sprintf("nothing may be sent to %s, which is everybody's address in the network or forbidden here; write the desk's own", p.At)
	case Hung:
		return fmt.Sprintf("the desk at %s closed the connection; it is tried again", p.At)
	case NoAnswer:
		return fmt.Sprintf("%s does not answer; check that the desk is on, and its address", p.At)
	case NotPackets:
		return fmt.Sprintf("what comes from %s is not packets in transport %s; try tcp-slip in the map", p.At, p.More)
	case Reconnected:
		return fmt.Sprintf("nothing has come from %s for %v; it is connected again", p.At, p.For)
	case NameUnknown:
		return fmt.Sprintf("the name %s is not known (%s); check it, or write the desk's number", p.At, p.More)
	}
	return fmt.Sprintf("the connection to %s: %s", p.At, p.More)
}
