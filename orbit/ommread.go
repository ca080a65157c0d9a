package orbit

import (
	"fmt"
	"slices"
)

// ommCollector turns messages into elements as they are completed.
type ommCollector struct{ collector }

func newOMMCollector(data []byte, opt ReadOptions) *ommCollector {
	return &ommCollector{collector{opt: opt, total: len(data)}}
}

// add takes a message that is complete.
func (c *ommCollector) add(s *ommSet) {
	e, problems := s.elements()
	c.note(problems...)
	if firstRefusal(problems) == nil {
		c.keep(e)
	}
}

// put sets a keyword of a message. It refuses one that stands there already,
// and more than any message has.
func (s *ommSet) put(key string, v ommValue) error {
	_, again := s.values[key]
	switch {
	case again && s.read(key):
		return fmt.Errorf("%s stands twice in one message", key)
	case len(s.values) >= mostKeywords:
		return fmt.Errorf("a message of more than %d names: is this an element file?", mostKeywords)
	}
	s.values[key] = v
	return nil
}

// read says whether a keyword means anything to elements.
func (s *ommSet) read(key string) bool { return slices.Contains(ommKeywords, key) }

// ommKeywords are the keywords that are read.
var ommKeywords = []string{"OBJECT_NAME", "OBJECT_ID", "CENTER_NAME", "REF_FRAME", "TIME_SYSTEM", "MEAN_ELEMENT_THEORY", "EPOCH", "MEAN_MOTION",
	"ECCENTRICITY", "INCLINATION", "RA_OF_ASC_NODE", "ARG_OF_PERICENTER", "MEAN_ANOMALY", "EPHEMERIS_TYPE", "CLASSIFICATION_TYPE", "NORAD_CAT_ID",
	"ELEMENT_SET_NO", "REV_AT_EPOCH", "BSTAR", "MEAN_MOTION_DOT", "MEAN_MOTION_DDOT"}
