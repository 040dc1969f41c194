"""How long a charge lasts: packs from their labels, discharges, evenings, wear."""
