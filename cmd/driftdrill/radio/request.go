package radio

// request is a request with its line end, and the name that the daemon's answer
// begins with. There are no others than these three.
type request struct{ line, name string }

// All that is ever sent: the name of the radio, its frequency, its mode. The
// plus asks for the extended response, which names what it answers and ends
// with a code (the protocol's published manual page).
var (
	askName      = request{"+_\n", "get_info"}
	askFrequency = request{"+f\n", "get_freq"}
	askMode      = request{"+m\n", "get_mode"}
)
