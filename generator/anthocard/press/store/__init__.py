"""What is kept between runs, and under which key."""
