package wire

// Reason is how a packet breaks the rules of OSC: the error of a Reader, which
// costs no memory however many bad packets come. The zero value is no reason at all.
type Reason uint8

// The reasons, in the order Reasons gives them. All but UnknownTag end the
// packet at the place where they are found.
const (
	EmptyPacket        Reason = iota + 1 // no bytes
	OddSize                              // packet size is not a multiple of four
	NotOSC                               // starts with neither "/" nor "#bundle"
	ShortBundle                          // bundle ends inside its time tag
	ElementSize                          // size in a bundle is zero, odd, negative or past the end
	TooDeep                              // bundles nested deeper than MaxDepth
	UnterminatedString                   // address, type tags or string without a NUL
	BadPadding                           // padding after a string or blob is not NUL
	TruncatedArgument                    // the packet ends before the arguments its tags promise
	BlobSize                             // blob size is negative or past the end
	UnbalancedArray                      // "[" without "]" or the reverse
	BytesLeftOver                        // bytes other than NUL after the last argument
	UnknownTag                           // a type tag outside OSC 1.0; only this message is skipped

	reasonCount
)

// reasonTexts has a metric label and a sentence for each reason.
var reasonTexts = [reasonCount]struct{ label, text string }{
	0:                  {"none", "no fault"},
	EmptyPacket:        {"empty_packet", "packet has no bytes"},
	OddSize:            {"odd_size", "packet size is not a multiple of 4 bytes"},
	NotOSC:             {"not_osc", "packet starts with neither \"/\" nor \"#bundle\""},
	ShortBundle:        {"short_bundle", "bundle ends inside its time tag"},
	ElementSize:        {"element_size", "size of a bundle element is zero, not a multiple of 4 or past the end"},
	TooDeep:            {"too_deep", "bundles are nested deeper than 16"},
	UnterminatedString: {"unterminated_string", "string has no NUL at its end"},
	BadPadding:         {"bad_padding", "padding after a string or blob is not NUL"},
	TruncatedArgument:  {"truncated_argument", "packet ends inside an argument"},
	BlobSize:           {"blob_size", "size of a blob is negative or past the end"},
	UnbalancedArray:    {"unbalanced_array", "array brackets in the type tags do not pair"},
	BytesLeftOver:      {"bytes_left_over", "bytes follow the last argument"},
	UnknownTag:         {"unknown_tag", "type tag is not one of OSC 1.0"},
}

// String gives the reason as short words in snake_case, fit for a metric label.
func (r Reason) String() string {
	if r >= reasonCount {
		return "unknown_reason"
	}
	return reasonTexts[r].label
}

// Reasons lists every reason, so that a metric can show each of them from the
// start with a count of 0. The slice is the caller's own.
func Reasons() []Reason {
	all := make([]Reason, 0, reasonCount-1)
	for r := EmptyPacket; r < reasonCount; r++ {
		all = append(all, r)
	}
	return all
}

// Error says in a sentence what was wrong with the packet.
func (r Reason) Error() string {
	if r >= reasonCount {
		return "read packet: " + r.String()
	}
	return "read packet: " + reasonTexts[r].text
}
