"""Weather brought in: files read, typed lows and highs made hourly, readings flagged and summed up.

Kept empty on purpose: nothing heavy is imported before it is needed.

read.read_weather         any file -> Series
typed.hourly_from_daily   typed lows and highs -> Series
quality.flag              Series -> the same with flags
summary.months, .days     Series -> tables
netcdf_write.write_netcdf Series -> CF NetCDF file
"""
