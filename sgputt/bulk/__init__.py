"""Many players and seasons: folders of Parquet putts, reduced file by file and merged."""
