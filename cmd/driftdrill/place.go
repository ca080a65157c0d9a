package main

import (
	"math"

	"driftdrill/orbit"

	"github.com/spf13/cobra"
)

func newPlaceCommand() *cobra.Command {
	var form string
	cmd := &cobra.Command{
		Use:   "place PLACE [PLACE]",
		Short: "Tell a place's locator and coordinates, and how far it is to another",
		Long: `Place turns coordinates into a locator and a locator (of 4 to 10 characters) into
coordinates, those of its middle. With a second place it adds distance and
bearing along the ellipsoid (WGS84), and the height from which a bird half-way
between is seen from both.`,
		Args: cobra.RangeArgs(1, 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			form, err := tableForm(cmd, form)
			if err != nil {
				return err
			}
			var sites []orbit.Site
			for _, text := range args {
				site, _, err := parseSite("place", text)
				if err != nil {
					return err
				}
				sites = append(sites, site)
			}
			return printTable(cmd.OutOrStdout(), form, placeTable(sites))
		},
	}
	cmd.Flags().StringVar(&form, "out", "", outHelp)
	return cmd
}

func placeTable(sites []orbit.Site) *table {
	t := &table{columns: []column{
		{"locator", "locator"}, {"lat_deg", "latitude"}, {"lon_deg", "longitude"}, {"alt_m", "height m"},
		{"distance_km", "distance km"}, {"bearing_deg", "bearing"}, {"least_bird_km", "bird from km"},
	}}
	for i, s := range sites {
		row := []cell{word(s.Locator(10)), fixed(s.LatDeg, 7, 5), fixed(s.LonDeg, 7, 5), fixed(s.AltM, 1, 0), {}, {}, {}}
		if len(sites) == 2 {
			km, bearing, _ := s.To(sites[1-i])
			row[4], row[5] = fixed(km, 4, 1), fixed(bearing, 4, 1)
			if least := orbit.LeastHeightKm(km); !math.IsInf(least, 0) {
				row[6] = fixed(least, 1, 0)
			}
		}
		t.rows = append(t.rows, row)
	}
	if len(sites) == 1 {
		t.columns = t.columns[:4]
		t.rows[0] = t.rows[0][:4]
	}
	return t
}
