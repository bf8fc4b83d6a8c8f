"""The parts of the invented maker: her town, bench, case, playing, and the truth planted in her reeds' lives."""
