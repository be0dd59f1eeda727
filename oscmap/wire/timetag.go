package wire

// TimeTag is an instant as OSC writes it: seconds since the start of the year
// 1900 in the upper 32 bits, fractions of a second in the lower.
type TimeTag uint64

// Immediately is the time tag that names no instant: at once, on arrival.
const Immediately TimeTag = 1
