"""What arrives as text from elsewhere and goes in as it is: reports and forecasts of weather."""
