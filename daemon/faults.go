package daemon

import (
	"errors"

	"pawl/daemon/capture"
	"pawl/daemon/disks"
	"pawl/daemon/link"
	"pawl/daemon/store"
	"pawl/rules"
)

// faults has the phrase for every fault of a disk or a file that is known.
var faults = map[disks.Fault]rules.Phrase{
	disks.Full: rules.Say("fault.full"), disks.QuotaUsed: rules.Say("fault.quota"), disks.ReadOnly: rules.Say("fault.read-only"),
	disks.Faulty: rules.Say("fault.disk"), disks.Forbidden: rules.Say("fault.forbidden"), disks.Silent: rules.Say("fault.silent"),
	store.NoFolder: rules.Say("fault.no-folder"), store.Held: rules.Say("fault.held"), store.MayNotGrow: rules.Say("fault.may-not-grow"),
	store.Damaged: rules.Say("fault.damaged"), store.NotOpened: rules.Say("fault.not-opened"),
	capture.TooLarge: rules.Say("fault.too-large"), capture.Closed: rules.Say("fault.closed"), capture.Cut: rules.Say("fault.cut"),
}

// because adds to a phrase why something cannot be written: the name of the fault's own
// phrase, which the reader's language has, or else what the system said.
func because(p rules.Phrase, f disks.Fault) rules.Phrase {
	if known, ok := faults[f]; ok {
		return p.Quoting("why", known.ID)
	}
	return p.Quoting("why", string(f))
}

// problems has the phrase for every kind of trouble on the way to the desk.
var problems = map[link.ProblemKind]rules.Phrase{
	link.WentSilent: rules.Say("trouble.went-silent"), link.NeverCame: rules.Say("trouble.never-came"), link.NeverAsked: rules.Say("trouble.never-asked"), link.OthersSend: rules.Say("trouble.others-send"),
	link.OtherPort:  rules.Say("trouble.other-port"),
	link.PortSilent: rules.Say("trouble.port-silent"), link.PortUnused: rules.Say("trouble.port-unused"), link.Refused: rules.Say("trouble.refused"),
	link.NoWay: rules.Say("trouble.no-way"), link.Firewall: rules.Say("trouble.firewall"), link.NotOne: rules.Say("trouble.not-one"), link.Hung: rules.Say("trouble.hung-up"),
	link.NoAnswer: rules.Say("trouble.no-answer"), link.NotPackets: rules.Say("trouble.not-packets"), link.Reconnected: rules.Say("trouble.reconnected"),
	link.NameUnknown: rules.Say("trouble.name-unknown"), link.OtherFault: rules.Say("trouble.other-fault"),
}

// Says is what is wrong with the link, for whoever reads the page: one phrase, by which
// a page knows that something is, that quotes the name of another.
func Says(p link.Problem) rules.Phrase {
	return rules.Say("link.trouble", rules.Time("for", p.For)).Quoting("why", problems[p.Kind].ID).Quoting("at", p.At).Quoting("more", p.More)
}

// unfollowed is why a newer house file is not in force.
func unfollowed(err error) rules.Phrase {
	var port *link.ListenError
	if !errors.As(err, &port) {
		return rules.Say("notice.house").Quoting("why", err.Error())
	}
	says := rules.Say("notice.port")
	switch port.Kind {
	case link.PortTaken:
		says = rules.Say("notice.port-taken")
	case link.PortForbidden:
		says = rules.Say("notice.port-forbidden")
	case link.NoSuchAddress:
		says = rules.Say("notice.port-nowhere")
	}
	return says.Quoting("listen", port.Listen).Quoting("why", port.Err.Error())
}
